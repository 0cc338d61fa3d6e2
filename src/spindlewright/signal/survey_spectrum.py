"""Strongest line of a batch of short stereo frames: frequency, level per channel, relation of the channels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spindlewright.signal.survey_tracks import PeakTrack

FLOOR_BANDS = 8


class LineFinder:
    """Finds the strongest line between two frequencies in frames of one length (Hann window, float32).

    Frequency from the ratio of the two strongest neighbouring bins, exact for a lone steady sine far from 0 Hz
    (Hann's two-bin interpolation, derived); amplitude corrected for its place between the bins. ``floor`` is the
    median of the mean bin powers of eight equal parts of the range, so that a line and its harmonics, or hum,
    do not raise it, while a tick does.
    """

    def __init__(self, frame: int, rate_hz: float, from_hz: float, to_hz: float) -> None:
        self._bin_hz = rate_hz / frame
        self._window = np.hanning(frame + 1)[:-1].astype(np.float32) * np.float32(4.0 / frame)
        last = frame // 2 - 1
        self._first = min(max(2, int(np.ceil(from_hz / self._bin_hz))), last - FLOOR_BANDS)
        self._stop = min(int(to_hz / self._bin_hz) + 1, last)
        if self._stop - self._first < FLOOR_BANDS:
            raise ValueError(f"frequency range {from_hz} to {to_hz} Hz is too narrow for frames of {frame}")
        self._parts = np.linspace(self._first, self._stop, FLOOR_BANDS + 1).astype(int)

    def find(self, left: NDArray[np.float32], right: NDArray[np.float32]) -> PeakTrack:
        """Lines of frames (n, frame) of both channels."""
        frames = len(left)
        windowed = np.empty((2 * frames, self._window.size), np.float32)
        np.multiply(left, self._window, out=windowed[:frames])
        np.multiply(right, self._window, out=windowed[frames:])
        below_first = self._first - 1
        both = np.fft.rfft(windowed, axis=1)[:, below_first : self._stop + 1]
        spectra = both[:frames], both[frames:]
        power = spectra[0].real ** 2
        for part in (spectra[0].imag, spectra[1].real, spectra[1].imag):
            power += part * part
        rows = np.arange(frames)
        peak = 1 + power[:, 1:-1].argmax(axis=1)
        tiny = np.float32(1e-30)
        below, centre, above = (np.sqrt(power[rows, peak + step] + tiny) for step in (-1, 0, 1))
        up = above >= below
        ratio = np.where(up, above, below) / centre
        shift = np.clip((2 * ratio - 1) / (1 + ratio), -0.1, 0.6)
        # amplitude of a Hann line `shift` bins off centre: sinc(shift) / (1 - shift²)
        gain = np.sinc(shift) / (1 - shift * shift)
        correction = (1 / (gain * gain)).astype(np.float32)
        at_left, at_right = spectra[0][rows, peak], spectra[1][rows, peak]
        starts = self._parts[:-1] - below_first
        means = np.add.reduceat(power[:, :-1], starts, axis=1) / np.diff(self._parts)
        return PeakTrack(
            hz=((below_first + peak + np.where(up, shift, -shift)) * self._bin_hz).astype(np.float32),
            left=(np.abs(at_left) ** 2 * correction).astype(np.float32),
            right=(np.abs(at_right) ** 2 * correction).astype(np.float32),
            cross=(np.conj(at_left) * at_right * correction).astype(np.complex64),
            floor=np.median(means, axis=1).astype(np.float32),
        )


def joined(tracks: list[PeakTrack]) -> PeakTrack:
    """One track from consecutive ones."""
    if not tracks:
        empty = np.zeros(0, dtype=np.float32)
        return PeakTrack(empty, empty, empty, np.zeros(0, dtype=np.complex64), empty)
    return PeakTrack(*(np.concatenate([getattr(t, n) for t in tracks]) for n in PeakTrack.__slots__))
