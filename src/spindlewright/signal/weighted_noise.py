"""Wide-band noise under a weighting curve, with the time round clicks left out.

The sound is cut into segments of about a third of a second under a window that is flat over its middle half
(cosine flanks), so that hardly a sample is wasted without overlapping; the spectrum of each is weighted by the curve
itself, exact at any sample rate. Round a click the sound is replaced by a straight line and its share of the window
is not counted.

Source: averaging of short modified periodograms (Welch 1967, from memory); own choice of window.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spindlewright.signal.blocks import Rebuffer
from spindlewright.signal.impulses import ImpulseDetector

SEGMENT_S = 0.33
LEFT_OUT_S = 0.005
"""On each side of a click."""
FULL_S, PERIOD_S, LISTEN_S = 120.0, 30.0, 5.0
"""The first two minutes are heard whole, then five seconds out of every thirty, which count sixfold."""


@dataclass(frozen=True, slots=True)
class WeightedNoise:
    """Weighted power (segments, 2) (a full-scale sine of weight 1 is 1), the part of each segment that was counted
    (0 … 1), the time each stands for in segments, and what was left out."""

    power: np.ndarray
    counted: np.ndarray
    stands_for: np.ndarray
    clicks: int
    left_out_s: float
    duration_s: float
    upper_hz: float


class WeightedNoiseState:
    """Feed float32 (n, 2) as recorded; ``curve`` gives the power gain at frequencies in Hz, up to ``upper_hz``."""

    def __init__(self, rate_hz: float, curve: Callable[[np.ndarray], np.ndarray], upper_hz: float) -> None:
        self._rate = rate_hz
        self._detector = ImpulseDetector(rate_hz)
        multiple = self._detector.chunk_multiple
        self.length = multiple * 2 ** round(np.log2(SEGMENT_S * rate_hz / multiple))
        bin_hz = rate_hz / self.length
        self._bins = min(self.length // 2, int(upper_hz / bin_hz)) + 1
        self.upper_hz = (self._bins - 1) * bin_hz
        window = _flat_window(self.length)
        self._window = window.astype(np.float32)
        self._energy = window**2
        # A sine of peak A on a bin gives A²·N·Σw²/4 over its lobe.
        scale = 4.0 / (self.length * float(self._energy.sum()))
        weights = _sharpened(curve(np.arange(self._bins + 1) * bin_hz), window)[: self._bins] * scale
        self._weights = np.repeat(weights, 2).astype(np.float32)
        self._buffer = Rebuffer(self.length, 2)
        self._full, self._period, self._listen = (
            round(seconds * rate_hz / self.length) for seconds in (FULL_S, PERIOD_S, LISTEN_S)
        )
        self._chunk = 0
        self._origin = 0
        self._waiting: np.ndarray | None = None
        self._spans: list[tuple[int, int]] = []
        self._power: list[np.ndarray] = []
        self._counted: list[float] = []
        self._stands_for: list[float] = []
        self._clicks = 0
        self._left_out = 0

    def feed(self, block: np.ndarray) -> None:
        """Take the next samples, any number."""
        for chunk in self._buffer.feed(block):
            if self._listens():
                self._take(np.ascontiguousarray(chunk.T), self.length)
            elif self._waiting is not None:
                self._take(np.ascontiguousarray(chunk.T), self.length)  # its beginning may tell of clicks before
                self._waiting = None
            self._chunk += 1

    def _listens(self) -> bool:
        beyond = self._chunk - self._full
        return bool(beyond < 0 or beyond % self._period >= self._period - self._listen)

    def _take(self, planar: np.ndarray, valid: int) -> None:
        """Find the clicks of a chunk and measure the one before it, whose clicks are now all known."""
        if self._waiting is None:
            self._detector = ImpulseDetector(self._rate)
            self._origin = self._chunk * self.length
            self._spans = []
        found = self._detector.feed(planar, valid)
        margin = round(LEFT_OUT_S * self._rate)
        self._spans += [
            (self._origin + int(a) - margin, self._origin + int(b) + margin + 1)
            for a, b in zip(found.first, found.last, strict=True)
        ]
        self._clicks += len(found.first)
        if self._waiting is not None:
            before = self._chunk - 1
            self._measure(self._waiting, before * self.length)
            self._stands_for.append(1.0 if before < self._full else self._period / self._listen)
        self._waiting = planar

    def _measure(self, planar: np.ndarray, start: int) -> None:
        counted = 1.0
        reaching = [(a - start, b - start) for a, b in self._spans if b > start and a < start + self.length]
        if reaching:
            planar = planar.copy()
            out = np.zeros(self.length, bool)
            for a, b in reaching:
                out[max(0, a) : b] = True
            edges = np.flatnonzero(np.diff(out.astype(np.int8), prepend=0, append=0))
            for first, end in edges.reshape(-1, 2):
                _straight(planar, int(first), int(end))
            counted = 1.0 - float(self._energy[out].sum() / self._energy.sum())
            self._left_out += int(out.sum())
        self._spans = [(a, b) for a, b in self._spans if b > start + self.length]
        spectrum = np.fft.rfft(planar * self._window, axis=1)
        parts = spectrum.view(np.float32)[:, : 2 * self._bins]
        self._power.append((np.square(parts) @ self._weights).astype(np.float64))
        self._counted.append(counted)

    def noise(self) -> WeightedNoise | None:
        """What has been heard so far; None before two segments."""
        last = copy.deepcopy(self)
        last._finish()
        if len(last._power) < 2:
            return None
        return WeightedNoise(
            np.stack(last._power),
            np.array(last._counted),
            np.array(last._stands_for),
            last._clicks,
            last._left_out / last._rate,
            sum(last._stands_for) * last.length / last._rate,
            last.upper_hz,
        )

    def _finish(self) -> None:
        """Hear out the waiting segment; what does not fill a segment tells only of its clicks."""
        if self._waiting is None:
            return
        rest = self._buffer.rest()
        padded = np.zeros((2, self.length), np.float32)
        padded[:, : len(rest)] = rest.T
        self._take(padded, len(rest))


def _flat_window(length: int) -> np.ndarray:
    """Cosine flanks over a quarter of the length on each side, 1 between."""
    flank = length // 4
    rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(flank) + 0.5) / flank)
    return np.concatenate([rise, np.ones(length - 2 * flank), rise[::-1]])


def _sharpened(curve: np.ndarray, window: np.ndarray) -> np.ndarray:
    """Weights whose average over a line's lobe under ``window`` is ``curve`` to second order."""
    slope = np.diff(window, append=window[:1])
    spread = float(slope @ slope) / float(window @ window) * (len(window) / (2.0 * np.pi)) ** 2  # in bins squared
    bent = np.zeros_like(curve)
    bent[1:-1] = curve[2:] - 2.0 * curve[1:-1] + curve[:-2]
    return np.asarray(curve - 0.5 * spread * bent)


def _straight(planar: np.ndarray, first: int, end: int, beside: int = 16) -> None:
    """Straight line over ``first`` … ``end`` between the means of the samples before and after."""
    before, after = planar[:, max(0, first - beside) : first], planar[:, end : end + beside]
    if before.shape[1] == 0 or after.shape[1] == 0:
        side = before if before.shape[1] else after
        planar[:, first:end] = side.mean(axis=1, keepdims=True) if side.shape[1] else 0.0
        return
    a, b = before.mean(axis=1, keepdims=True), after.mean(axis=1, keepdims=True)
    planar[:, first:end] = a + (b - a) * ((np.arange(end - first) + 0.5) / (end - first)).astype(np.float32)
