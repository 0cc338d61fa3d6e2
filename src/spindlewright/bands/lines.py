"""The dominant line of every survey frame: what a test tone would be, if there is one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spindlewright.signal.survey_tracks import SurveyResult

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
    """10 log10 of a power, at least -200."""
    return np.asarray(10.0 * np.log10(np.maximum(np.asarray(power, dtype=np.float64), 1e-20)))


def dominant_lines(survey: SurveyResult) -> Lines:
    """The stronger line of the two frequency ranges in each frame."""
    mid, high = survey.mid, survey.high
    if high is None:
        use = np.zeros(survey.frames, dtype=bool)
        picked = {name: getattr(mid, name) for name in ("hz", "left", "right", "cross", "floor")}
    else:
        use = (high.hz > survey.mid_to_hz) & (high.power > 0.7 * mid.power)
        picked = {
            name: np.where(use, getattr(high, name), getattr(mid, name))
            for name in ("hz", "left", "right", "cross", "floor")
        }
    power = picked["left"].astype(np.float64) + picked["right"]
    contrast = np.where(power > 1e-13, decibels(power) - decibels(picked["floor"]), 0.0)
    return Lines(
        picked["hz"].astype(np.float64),
        picked["left"].astype(np.float64),
        picked["right"].astype(np.float64),
        picked["cross"].astype(np.complex128),
        contrast,
        use,
        survey.frame_s,
    )
