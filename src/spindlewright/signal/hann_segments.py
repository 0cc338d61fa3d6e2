"""Half-overlapping Hann segments of a stretch, with ticks bridged: the common ground of the noise readings.

Source: averaging of short modified periodograms (Welch 1967, from memory); the window constants are derived here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from spindlewright.signal.blocks import Rebuffer
from spindlewright.signal.tick_bridge import bridge_ticks

AMPLITUDE_CORRELATION = 1.0 / 6.0
"""Correlation of white noise between neighbouring half-overlapping Hann segments (derived)."""
POWER_CORRELATION = AMPLITUDE_CORRELATION**2
"""The same for the power of one frequency."""


def segment_seconds(duration_s: float) -> float:
    """Two seconds, or one where a band is too short to give nine such segments."""
    return 2.0 if duration_s >= 10.0 else 1.0


@dataclass(frozen=True, slots=True)
class SegmentSpectrum:
    """Spectrum (bins, 2) of one segment, phase at the segment's middle, and the share of it bridged over.

    Scaled so that a sine of peak amplitude A on a bin gives |X| = A.
    """

    spectrum: np.ndarray
    bridged: float


def hann(length: int) -> np.ndarray:
    """Periodic Hann window: halves overlap to a constant sum."""
    return np.asarray(0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(length) / length))


class HannSegments:
    """Cuts float64 (n, 2) blocks of any size into segments of ``seconds``, each begun half a segment after the last.

    ``top_hz`` bounds the frequencies kept. Bin m lies at m · ``bin_hz``; segment s has its middle at
    (s + 1) · ``hop_s`` after the first sample.
    """

    def __init__(self, rate_hz: float, seconds: float, top_hz: float) -> None:
        self.rate_hz = rate_hz
        self.hop = 2 * round(seconds * rate_hz / 4.0)
        self.length = 2 * self.hop
        self.hop_s = self.hop / rate_hz
        self.bin_hz = rate_hz / self.length
        self.bins = int(min(top_hz, 0.49 * rate_hz) / self.bin_hz) + 1
        self._window = hann(self.length)[:, None]
        self._turn = np.where(np.arange(self.bins) % 2 == 0, 1.0, -1.0)[:, None] * (4.0 / self.length)
        self._buffer = Rebuffer(self.hop, 2, np.float64)
        self._last: np.ndarray | None = None

    def feed(self, block: np.ndarray) -> Iterator[SegmentSpectrum]:
        """Yield every segment that ``block`` completes."""
        for half in self._buffer.feed(block):
            if self._last is not None:
                yield self._analyse(np.concatenate([self._last, half]))
            self._last = half.copy()

    def _analyse(self, samples: np.ndarray) -> SegmentSpectrum:
        samples, bridged = bridge_ticks(samples, self.rate_hz)
        spectrum = np.fft.rfft(samples * self._window, axis=0)[: self.bins] * self._turn
        return SegmentSpectrum(spectrum, bridged)


def at_frequency(spectra: np.ndarray, place: np.ndarray, reach: int = 8) -> np.ndarray:
    """Value of Hann spectra between their bins (band-limited interpolation, good to 1e-4 of a line).

    ``spectra`` (segments, bins, 2) as in ``SegmentSpectrum``; ``place`` in bins, (orders,) or (segments, orders).
    Returns (segments, orders, 2).
    """
    taps = np.rint(place).astype(np.int64)[..., None] + np.arange(-reach, reach + 1)
    kernel = np.sinc(taps - place[..., None])
    taps = np.clip(taps, 0, spectra.shape[1] - 1)
    if place.ndim == 1:
        gathered = spectra[:, taps, :]
        return np.asarray(np.einsum("sktc,kt->skc", gathered, kernel))
    gathered = spectra[np.arange(len(spectra))[:, None, None], taps]
    return np.asarray(np.einsum("sktc,skt->skc", gathered, kernel))
