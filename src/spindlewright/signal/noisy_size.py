"""Size of a signal that stands in noise of known strength: two-sigma size and rms with the noise taken off.

The noise is known by a stand-in, a signal of the same statistics that is independent of it. Adding and subtracting
the stand-in shows what so much noise does to the reading; going the same step back takes the noise off in power::

    size² = 2 · q(y)² − [q(y + n)² + q(y − n)²] / 2

This is exact for a Gaussian signal. A steady line has a sharp edge that noise blurs faster than that, so the same
sum for a line in Gaussian flutter with the same second and fourth moment is used to correct it. Source: derived;
proved by simulation (tests).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import special

from spindlewright.signal.logarithmic_histogram import BINS_PER_OCTAVE, LogarithmicHistogram

EXCEEDED = 0.05
_COARSE_SHIFT = 3
_COARSE_PER_OCTAVE = BINS_PER_OCTAVE >> _COARSE_SHIFT
_LOWEST, _HIGHEST = -20, 18
_COARSE_BINS = (_HIGHEST - _LOWEST) * _COARSE_PER_OCTAVE
_SEGMENTS = 32
_STEP_BACK = (1.65, 1.3)
"""How much the step back to no noise spreads the error of the edge: little noise, nothing but noise (simulation)."""


@dataclass(frozen=True, slots=True)
class NoisySize:
    """A size as it stands (``raw``), its square with the noise taken off (``power``; may be negative), the
    standard uncertainty of that square (``power_scatter``, with ``degrees`` of freedom), the size of the noise
    alone, and the relative standard uncertainty from taking it off a signal of unknown shape (``shape_doubt``)."""

    raw: float
    power: float
    power_scatter: float
    degrees: float
    noise: float
    shape_doubt: float = 0.0


class NoisySizes:
    """Gathers ``rows`` signals and the stand-ins of their noise in fixed memory, whatever the length.

    Sizes from 1e-6 to 1e5 in the signals' unit are told apart. ``segment`` is the count of values that are as good
    as unrelated to the next such count.
    """

    def __init__(self, rows: int, segment: int) -> None:
        self._rows = rows
        self._histogram = LogarithmicHistogram(3 * rows, _LOWEST, _HIGHEST)
        self._edge_noise = np.zeros((_SEGMENTS, rows, _COARSE_BINS), np.float32)
        self._product = np.zeros((_SEGMENTS, rows))
        self._moments = np.zeros((3, rows))  # sums of y², y⁴, n²
        self._segment = segment
        self._thin = LogarithmicHistogram(rows, _LOWEST, _HIGHEST)
        self._thin_power = np.zeros(rows)
        self.count = 0
        self.thin_count = 0

    def add_thin(self, signal: np.ndarray, weight: int) -> None:
        """Count ``signal`` (rows, n) alone, each value ``weight`` times: its noise is taken to be like the rest."""
        self._thin.add(signal, weight)
        self._thin_power += weight * (signal**2).sum(axis=1)
        self.thin_count += weight * signal.shape[1]

    def add(self, signal: np.ndarray, noise: np.ndarray) -> None:
        """Count ``signal`` and ``noise`` (rows, n)."""
        values = signal.shape[1]
        if values == 0:
            return
        self._histogram.add(np.concatenate([signal, signal + noise, signal - noise]))
        while self.count + values > _SEGMENTS * self._segment:
            self._join_segments()
        segment = (self.count + np.arange(values)) // self._segment
        size = np.abs(signal)
        bins = (size.view(np.int64) >> (52 - int(math.log2(_COARSE_PER_OCTAVE)))) - (
            (1023 + _LOWEST) * _COARSE_PER_OCTAVE
        )
        np.clip(bins, 0, _COARSE_BINS - 1, out=bins)
        place = bins + _COARSE_BINS * (np.arange(self._rows)[:, None] + self._rows * (segment - segment[0])[None, :])
        last = int(segment[-1] - segment[0]) + 1
        towards = np.copysign(noise, noise * signal)  # noise that makes the size larger counts positive
        total = np.bincount(place.ravel(), weights=towards.ravel(), minlength=last * self._rows * _COARSE_BINS)
        first = int(segment[0])
        self._edge_noise[first : first + last] += total.reshape(last, self._rows, _COARSE_BINS)
        product = signal * noise
        for row in range(self._rows):
            self._product[first : first + last, row] += np.bincount(
                segment - segment[0], weights=product[row], minlength=last
            )
        power = signal**2
        self._moments[0] += power.sum(axis=1)
        self._moments[1] += (power**2).sum(axis=1)
        self._moments[2] += (noise**2).sum(axis=1)
        self.count += values

    def two_sigma(self, row: int) -> NoisySize:
        """Size exceeded 5 % of the time."""
        histogram, rows = self._histogram, self._rows
        raw = histogram.exceeded(row, EXCEEDED)
        more, less = (histogram.exceeded(k * rows + row, EXCEEDED) for k in (1, 2))
        power = 2.0 * raw**2 - 0.5 * (more**2 + less**2)
        square, fourth, noise_power = self._moments[:, row] / max(self.count, 1)
        clean_power = max(square - noise_power, 0.0)
        # Fourth cumulant: Gaussian noise leaves it alone, a line of mean square p has -1.5 p².
        cumulant = fourth - 3.0 * square**2
        doubt = math.sqrt(24.0 / max(self.count, 1)) * min(noise_power, square) * square
        low, correction, high = (
            _sharpness(clean_power, noise_power, cumulant + shift) for shift in (-doubt, 0.0, doubt)
        )
        share = noise_power / max(square, 1e-300)
        scatter, degrees = self._edge_scatter(row, raw, math.sqrt(noise_power), share)
        spread = _STEP_BACK[0] + share * (_STEP_BACK[1] - _STEP_BACK[0])
        ratio = math.sqrt(noise_power / max(clean_power, 0.1 * noise_power, 1e-300))
        whole = raw if self.thin_count == 0 else histogram.exceeded(row, EXCEEDED, self._thin.counts[row])
        return NoisySize(
            raw=whole,
            power=whole**2 - raw**2 + power + correction,
            power_scatter=self._longer() * math.hypot(2.0 * raw * spread * scatter, 0.5 * (high - low)),
            degrees=degrees,
            noise=special.ndtri(1.0 - EXCEEDED / 2.0) * math.sqrt(noise_power),
            shape_doubt=0.025 * ratio / (1.0 + ratio),
        )

    def rms(self, row: int) -> NoisySize:
        """Root of the mean square."""
        noise_power = self._moments[2, row] / max(self.count, 1)
        used = max(1, math.ceil(self.count / self._segment))
        scatter = 2.0 * math.sqrt(float(np.sum(self._product[:used, row] ** 2))) / max(self.count, 1)
        whole = (self._moments[0, row] + self._thin_power[row]) / max(self.count + self.thin_count, 1)
        return NoisySize(
            raw=math.sqrt(whole),
            power=float(whole - noise_power),
            power_scatter=self._longer() * scatter,
            degrees=float(used),
            noise=math.sqrt(noise_power),
        )

    def _longer(self) -> float:
        """How much more certain all the values are than those that were counted with their noise."""
        return math.sqrt(self.count / max(self.count + self.thin_count, 1))

    def _edge_scatter(self, row: int, edge: float, noise: float, share: float) -> tuple[float, float]:
        """Standard uncertainty of the two-sigma size from the noise near its edge, and degrees of freedom."""
        used = max(1, math.ceil(self.count / self._segment))
        if noise <= 0.0 or edge <= 0.0:
            return 0.0, float(used)
        half = max(noise * (0.886 + 0.34 * share), edge / _COARSE_PER_OCTAVE)
        steps = np.arange(_COARSE_BINS + 1)
        edges = np.ldexp(
            1.0 + (steps % _COARSE_PER_OCTAVE) / _COARSE_PER_OCTAVE, _LOWEST + steps // _COARSE_PER_OCTAVE
        )
        covered = np.clip(np.minimum(edges[1:], edge + half) - np.maximum(edges[:-1], edge - half), 0.0, None)
        covered /= np.diff(edges)
        shifts = self._edge_noise[:used, row] @ covered / (2.0 * half) / self.count
        span = 0.01
        density = (
            2.0
            * span
            / max(
                self._histogram.exceeded(row, EXCEEDED - span) - self._histogram.exceeded(row, EXCEEDED + span), 1e-300
            )
        )
        return math.sqrt(float(np.sum(shifts**2))) / density, float(used)

    def _join_segments(self) -> None:
        half = _SEGMENTS // 2
        for kept in (self._edge_noise, self._product):
            kept[:half] = kept[0::2] + kept[1::2]
            kept[half:] = 0.0
        self._segment *= 2


def _sharpness(clean_power: float, noise_power: float, cumulant: float) -> float:
    """What the extrapolation misses of the square of the size, for a line in Gaussian flutter of these moments."""
    if noise_power <= 0.0:
        return 0.0
    line_power = min(clean_power, math.sqrt(max(0.0, -cumulant) / 1.5))
    rest = clean_power - line_power
    clean, once, twice = (line_in_noise_two_sigma(line_power, rest + k * noise_power) ** 2 for k in (0, 1, 2))
    return clean - (2.0 * once - twice)


def line_in_noise_two_sigma(line_power: float, noise_power: float) -> float:
    """Size exceeded 5 % of the time by a steady sine of mean square ``line_power`` in Gaussian noise.

    >>> round(line_in_noise_two_sigma(0.5, 0.0), 4), round(line_in_noise_two_sigma(0.0, 1.0), 4)
    (0.9969, 1.96)
    """
    peak, sigma = math.sqrt(2.0 * max(line_power, 0.0)), math.sqrt(max(noise_power, 0.0))
    if sigma <= 3e-3 * peak:
        return peak * math.sin(0.5 * math.pi * (1.0 - EXCEEDED))
    if peak <= 1e-3 * sigma:
        return float(special.ndtri(1.0 - EXCEEDED / 2.0)) * sigma
    sine = np.sin((np.arange(256) + 0.5) / 256 * math.pi - 0.5 * math.pi) * peak

    low, high = 0.0, peak + 5.0 * sigma
    size = peak * math.sin(0.5 * math.pi * (1.0 - EXCEEDED))
    while high - low > 1e-13 * (peak + sigma):  # Newton's steps, halving where one would leave the bracket
        beyond = np.concatenate([(size - sine) / sigma, (size + sine) / sigma])
        excess = 2.0 * float(special.ndtr(-beyond).mean()) - EXCEEDED
        density = 2.0 * float(np.exp(-0.5 * beyond**2).mean()) / (math.sqrt(2.0 * math.pi) * sigma)
        low, high = (size, high) if excess > 0.0 else (low, size)
        step = excess / density if density > 0.0 else math.inf
        if abs(step) <= 1e-13 * (peak + sigma):
            break
        size = size + step if low < size + step < high else 0.5 * (low + high)
    return size
