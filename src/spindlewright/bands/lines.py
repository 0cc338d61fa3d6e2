"""The dominant line of every survey frame: what a test tone would be, if there is one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.band import NOTHING_DBFS
from spindlewright.signal.survey_tracks import PeakTrack, SurveyResult

CONTRAST_DB = 13.0
"""A line this far over the typical bin counts as a tone: noise alone gets there in less than one frame in 10^6."""


@dataclass(frozen=True, slots=True)
class Lines:
    """Per frame: frequency, squared peak amplitude of each channel (1 is 0 dBFS), channel relation, contrast.

    ``cross`` is conj(left) * right; ``tonal`` True where the line stands clear of the noise; ``high`` True where it
    was seen by the short full-rate window.
    """

    hz: NDArray[np.float64]
    left: NDArray[np.float64]
    right: NDArray[np.float64]
    cross: NDArray[np.complex128]
    contrast_db: NDArray[np.float64]
    high: NDArray[np.bool_]
    frame_s: float

    @property
    def tonal(self) -> NDArray[np.bool_]:
        return self.contrast_db > CONTRAST_DB

    @property
    def level_db(self) -> NDArray[np.float64]:
        """Power of both channels together, dB (0: one channel with a full-scale sine)."""
        return decibels(self.left + self.right)


def decibels(power: NDArray[np.floating] | float) -> NDArray[np.float64]:
    """10 log10 of a power, at least ``NOTHING_DBFS``."""
    return np.asarray(10.0 * np.log10(np.maximum(np.asarray(power, dtype=np.float64), 10.0 ** (NOTHING_DBFS / 10.0))))


def lines_of(track: PeakTrack, frame_s: float, high: NDArray[np.bool_] | None = None) -> Lines:
    """A peak track in double precision with its contrast."""
    left, right = track.left.astype(np.float64), track.right.astype(np.float64)
    power = left + right
    return Lines(
        track.hz.astype(np.float64),
        left,
        right,
        track.cross.astype(np.complex128),
        np.where(power > 1e-13, decibels(power) - decibels(track.floor), 0.0),
        np.zeros(power.size, dtype=bool) if high is None else high,
        frame_s,
    )


def dominant_lines(survey: SurveyResult) -> Lines:
    """The stronger line of the middle and the high frequency range in each frame."""
    mid, high = survey.mid, survey.high
    if high is None:
        return lines_of(mid, survey.frame_s)
    use = (high.hz > survey.mid_to_hz) & (high.power > 0.7 * mid.power)
    names = ("hz", "left", "right", "cross", "floor")
    picked = PeakTrack(*(np.where(use, getattr(high, name), getattr(mid, name)) for name in names))
    return lines_of(picked, survey.frame_s, use)
