"""The slow movement of a tone's phase: a quadratic trend, the lines of the turning parts, and what is left over.

The lines of the platter (one, two and three a turn) are tied to the disc's angle, which the trend itself gives.
Other lines (belt, idler) are looked for in what is left and fitted together with them. Deviations are relative to
the tone's mean frequency. Source: least squares, textbook; derived here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from scipy import special

from spindlewright.signal.hann_segments import hann
from spindlewright.signal.slow_track import SlowPhase, joined_in_pairs

PLATTER_ORDERS = (1, 2, 3)
MOST_OTHER_LINES = 6
OTHER_LINES_HZ = (0.1, 9.0)
CLEAR_OF_NOISE = 16.0
"""A peak of the spectrum counts as a line when its power is this much over the median round it."""

MOST_POINTS = 20_000
"""Longer tracks are joined in pairs first; what is slow stays the same."""
TELLS_APART_S = 22.0
"""In less, a belt's line beside the platter's (0.51 and 0.556 Hz) is not looked for: it would be a guess."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the deviation: ``peak`` relative, ``phase_rad`` of the cosine at the middle of the stretch.

    ``order`` is its number of turns per platter turn for the platter's own lines, else None.
    """

    frequency_hz: float
    peak: float
    phase_rad: float
    order: int | None = None


@dataclass(frozen=True, slots=True)
class TrendAndLines:
    """What a stretch's phase is made of.

    ``slope_rad_s`` and ``bend_rad_s2`` are linear term at the middle and twice the quadratic term of the plain
    least-squares quadratic. ``density`` (one-sided, 1/Hz, relative deviation) belongs to what trend and lines leave
    over, at ``density_hz``. ``line_scatter`` is the factor from the root of the deviation's density to the standard
    uncertainty of the once-per-turn line's quadrature parts; ``unsteadiness`` how much that line's complex peak
    seems to change from the middle to the end (``unsteadiness_scatter``: the same factor for it).
    """

    duration_s: float
    middle_s: float
    tone_hz: float
    slope_rad_s: float
    bend_rad_s2: float
    offset_rad: float
    lines: tuple[Line, ...]
    turn_hz: float
    density_hz: np.ndarray = field(repr=False)
    density: np.ndarray = field(repr=False)
    line_scatter: float = math.inf
    unsteadiness: float = 0.0
    unsteadiness_scatter: float = math.inf

    def density_near(self, frequency_hz: float) -> tuple[float, float]:
        """Mean density of what is left round a frequency, and its degrees of freedom."""
        wide = max(5.0 / self.duration_s, 0.1)
        near = np.abs(self.density_hz - frequency_hz) <= wide
        apart = 1.2 / self.duration_s
        near &= np.abs(self.density_hz - frequency_hz) >= apart
        near &= self.density_hz >= apart
        for line in self.lines:
            near &= np.abs(self.density_hz - line.frequency_hz) >= apart
        if np.count_nonzero(near) < 3:
            near = (self.density_hz >= apart) & (self.density_hz <= frequency_hz + 2.0 * wide)
        values = self.density[near]
        if len(values) == 0:
            return 0.0, 1.0
        return float(np.mean(values)), max(1.0, 1.2 * len(values))

    def leak_of_lines(self, kernel_order: int) -> np.ndarray:
        """Largest error each line can cause in the trend's slope (``kernel_order`` 1) or drift per second (2)."""
        frequencies = np.array([line.frequency_hz for line in self.lines])
        peaks = np.array([line.peak for line in self.lines])
        return np.abs(peaks * self._kernel(frequencies, kernel_order)) if len(peaks) else np.zeros(0)

    def leak_of_rest(self, kernel_order: int) -> float:
        """Standard error that everything but the lines causes in the slope (1) or the drift per second (2)."""
        density = self.density.copy()
        edge = 2.0 / self.duration_s
        reference = (self.density_hz >= edge) & (self.density_hz <= 2.5 * edge)
        if np.any(reference):
            density[self.density_hz < edge] = np.mean(density[reference])
        if len(density) < 2:
            return 0.0
        step = self.density_hz[1] - self.density_hz[0]
        kernel = self._kernel(self.density_hz, kernel_order)
        return math.sqrt(float(np.trapezoid(density * kernel**2, dx=step)))

    def _kernel(self, frequency_hz: np.ndarray, order: int) -> np.ndarray:
        """Gain from a deviation at a frequency to the fitted slope or drift: windows 3 j1(x)/x and 30 j2(x)/(x T)."""
        x = np.maximum(math.pi * np.asarray(frequency_hz, float) * self.duration_s, 1e-6)
        if order == 1:
            return np.asarray(3.0 * special.spherical_jn(1, x) / x)
        return np.asarray(30.0 * special.spherical_jn(2, x) / (x * self.duration_s))


def trend_and_lines(slow: SlowPhase, carrier_hz: float, turns_per_cycle: float) -> TrendAndLines | None:
    """Describe a track; None when it is shorter than 0.5 s.

    ``carrier_hz`` is what the phase is relative to, ``turns_per_cycle`` the platter turns per cycle of the tone as
    cut (rpm / 60 / nominal).
    """
    if slow.duration_s < 0.5 or len(slow.time_s) < 16 or not np.any(slow.weight > 0.0):
        return None
    while len(slow.time_s) > MOST_POINTS:
        slow = joined_in_pairs(slow)
    middle = 0.5 * (slow.time_s[0] + slow.time_s[-1])
    t = slow.time_s - middle
    half = 0.5 * slow.duration_s
    u = t / half
    root = np.sqrt(np.maximum(slow.weight, 1e-3))
    trend = np.stack([np.ones_like(u), u, u**2], axis=1)
    plain = _solve(trend, slow.phase_rad, root)
    slope, bend = plain[1] / half, 2.0 * plain[2] / half**2
    tone_hz = carrier_hz + slope / (2.0 * math.pi)
    turn_hz = turns_per_cycle * tone_hz
    # Lines of the turning parts keep to the platter's angle: time as the platter would tell it from its mid speed.
    turned = (carrier_hz * t + (slope * t + 0.5 * bend * t**2) / (2.0 * math.pi)) / tone_hz
    angle = 2.0 * math.pi * turn_hz * turned
    orders = [k for k in PLATTER_ORDERS if slow.duration_s * turn_hz >= (1.2 if k == 1 else 2.0 / k + 0.5)]
    columns = [trend, *(_pair(k * angle) for k in orders)]
    found: list[float] = []
    residual = slow.phase_rad - np.concatenate(columns, axis=1) @ _solve(
        np.concatenate(columns, axis=1), slow.phase_rad, root
    )
    for _ in range(MOST_OTHER_LINES):
        taken = [*(k * turn_hz for k in orders), *found]
        candidate = _strongest_line(residual, slow.block_s, slow.duration_s, tone_hz, taken)
        if candidate is None:
            break
        found = _refined([*found, candidate], columns, turned, half, slow.phase_rad, root)
        design = np.concatenate([*columns, *(_pair(2.0 * math.pi * f * turned) for f in found)], axis=1)
        residual = slow.phase_rad - design @ _solve(design, slow.phase_rad, root)
    design = np.concatenate([*columns, *(_pair(2.0 * math.pi * f * turned) for f in found)], axis=1)
    solution = _solve(design, slow.phase_rad, root)
    residual = slow.phase_rad - design @ solution
    frequencies = [*(k * turn_hz for k in orders), *found]
    lines = tuple(
        _line(
            f,
            complex(solution[3 + 2 * i], -solution[4 + 2 * i]),
            tone_hz,
            slow.block_s,
            orders[i] if i < len(orders) else None,
        )
        for i, f in enumerate(frequencies)
    )
    density_hz, density = deviation_density(residual, slow.block_s, tone_hz)
    scatter, unsteady, unsteady_scatter = math.inf, 0.0, math.inf
    if 1 in orders:
        scatter = _scatter(design, root, slow.block_s, [3, 4], tone_hz, turn_hz)
        moving = _pair(angle) * u[:, None]
        wider = np.concatenate([design, moving], axis=1)
        extra = _solve(wider, slow.phase_rad, root)[-2:]
        to_deviation = turn_hz / tone_hz
        unsteady = float(np.hypot(*extra)) * to_deviation
        last = wider.shape[1]
        unsteady_scatter = _scatter(wider, root, slow.block_s, [last - 2, last - 1], tone_hz, turn_hz)
    return TrendAndLines(
        duration_s=slow.duration_s,
        middle_s=middle,
        tone_hz=tone_hz,
        slope_rad_s=slope,
        bend_rad_s2=bend,
        offset_rad=float(plain[0]),
        lines=lines,
        turn_hz=turn_hz,
        density_hz=density_hz,
        density=density,
        line_scatter=scatter,
        unsteadiness=unsteady,
        unsteadiness_scatter=unsteady_scatter,
    )


def deviation_density(phase_rad: np.ndarray, step_s: float, tone_hz: float) -> tuple[np.ndarray, np.ndarray]:
    """One-sided power density (1/Hz) of the relative deviation, Hann window over the whole stretch."""
    deviation = np.diff(phase_rad) / (2.0 * math.pi * tone_hz * step_s)
    window = hann(len(deviation))
    spectrum = np.fft.rfft((deviation - np.mean(deviation)) * window)
    frequency = np.fft.rfftfreq(len(deviation), step_s)
    sides = np.where((frequency > 0.0) & (frequency * step_s < 0.5), 2.0, 1.0)
    density = sides * np.abs(spectrum) ** 2 * step_s / np.sum(window**2)
    return frequency, density / np.maximum(np.sinc(frequency * step_s), 0.3) ** 4


def _pair(angle: np.ndarray) -> np.ndarray:
    return np.stack([np.cos(angle), np.sin(angle)], axis=1)


def _solve(design: np.ndarray, values: np.ndarray, root: np.ndarray) -> np.ndarray:
    if len(values) > 40 * design.shape[1]:  # well spread: normal equations do, at a fraction of the time
        weighted = design * (root**2)[:, None]
        return np.asarray(np.linalg.solve(weighted.T @ design, weighted.T @ values))
    return np.asarray(np.linalg.lstsq(design * root[:, None], values * root, rcond=1e-10)[0])


def _line(frequency_hz: float, phase_amplitude: complex, tone_hz: float, block_s: float, order: int | None) -> Line:
    """Deviation line from the complex amplitude z of the phase line Re z e^(iwt); block means taken into account."""
    droop = float(np.sinc(frequency_hz * block_s))
    deviation = 1j * phase_amplitude * frequency_hz / tone_hz / droop
    return Line(frequency_hz, abs(deviation), math.atan2(deviation.imag, deviation.real), order)


def _scatter(
    design: np.ndarray, root: np.ndarray, step_s: float, columns: list[int], tone_hz: float, turn_hz: float
) -> float:
    """sqrt(mean variance of the columns' solutions) per root of the deviation's one-sided density at ``turn_hz``."""
    weighted = design * root[:, None]
    inverse = np.linalg.pinv(weighted.T @ weighted, rcond=1e-12)
    variance = float(np.mean(np.diag(inverse)[columns])) / (2.0 * step_s)  # of the phase, per one-sided phase density
    return math.sqrt(max(variance, 0.0))


def _strongest_line(
    residual: np.ndarray, step_s: float, duration_s: float, tone_hz: float, taken: list[float]
) -> float | None:
    """Frequency of the strongest line in what is left, clear of the noise and of the lines known; else None."""
    padded = 4 * len(residual)
    deviation = np.diff(residual) / (2.0 * math.pi * tone_hz * step_s)
    window = np.hanning(len(deviation))
    power = np.abs(np.fft.rfft(deviation * window, padded)) ** 2
    frequency = np.fft.rfftfreq(padded, step_s)
    highest = min(OTHER_LINES_HZ[1], 0.4 / step_s)
    usable = (frequency >= max(OTHER_LINES_HZ[0], 1.5 / duration_s)) & (frequency <= highest)
    free = usable.copy()
    apart = (1.0 if duration_s >= TELLS_APART_S else 2.0) / duration_s
    for known in taken:
        free &= np.abs(frequency - known) >= apart
    if not np.any(free):
        return None
    place = int(np.flatnonzero(free)[np.argmax(power[free])])
    if not 0 < place < len(power) - 1 or power[place] < max(power[place - 1], power[place + 1]):
        return None  # the flank of something, not a line
    round_it = usable & (np.abs(frequency - frequency[place]) <= max(1.0, 12.0 / duration_s))
    if power[place] < CLEAR_OF_NOISE * float(np.median(power[round_it])):
        return None
    return float(frequency[place])


def _refined(
    found: list[float], columns: list[np.ndarray], t: np.ndarray, half: float, phase: np.ndarray, root: np.ndarray
) -> list[float]:
    """Frequencies moved to the least-squares place, all together (Gauss-Newton)."""
    current = np.array(found)
    limit = 0.5 / (2.0 * half)
    start = current.copy()
    fixed = sum(c.shape[1] for c in columns)
    for _ in range(4):
        pairs = [_pair(2.0 * math.pi * f * t) for f in current]
        base = np.concatenate([*columns, *pairs], axis=1)
        solution = _solve(base, phase, root)
        bends = []
        for i, f in enumerate(current):
            a, b = solution[fixed + 2 * i], solution[fixed + 2 * i + 1]
            w = 2.0 * math.pi * f * t
            bends.append(2.0 * math.pi * t * (b * np.cos(w) - a * np.sin(w)))
        move = _solve(np.concatenate([base, np.stack(bends, axis=1)], axis=1), phase, root)[-len(current) :]
        current = np.clip(current + np.clip(move, -limit, limit), start - limit, start + limit)
        if np.all(np.abs(move) < 1e-4 * limit):
            break
    return [float(f) for f in current]
