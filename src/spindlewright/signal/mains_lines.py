"""Finding the comb of mains lines in a stretch of quiet sound, and following it while the mains wanders.

The stretch comes as half-overlapping Hann segments. First the frequency near 50 or 60 Hz whose multiples stand
highest over the noise beside them is found (both channels, orders 1 to 20, heights compressed so that several small
lines count for more than one big one). Then one phase common to all orders is followed from segment to segment, and
each line is the average of the segments with that phase taken out. So lines that are not locked to the mains fall
out of the average, and the resolution is that of the whole stretch.

Source: least squares and maximum likelihood from first principles (derived); the wander of the mains, ±0.1 % over
minutes, is common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import ndimage, special

from spindlewright.signal.hann_segments import AMPLITUDE_CORRELATION, POWER_CORRELATION, at_frequency

ORDERS = np.arange(1, 21)
SEARCH_HZ = 1.0
ALONE_HZ = 0.25
"""Large grids stay within this nearly always (common practice, no source); a lone line must lie as near."""
CLEAR = 12.0
"""Power of a line over its variance that noise reaches in one of 160 000 cases."""
STEP_HZ = 0.01
FALSE_ALARM = 1e-3
"""Chance that noise alone shows any line in a stretch."""
WANDER_HZ = 0.004
"""Random walk of the mains frequency, Hz per square root of a second."""
FOLLOW_HZ = 0.03
"""How far, as standard deviation, the frequency of a segment is expected from that of its stretch."""
MIN_SEGMENTS = 3
_NEAR, _FAR = 3, 18
"""Noise beside a line is taken from these bins, counted from the line, on each side."""
_NOISE_FREEDOM = 10.0
"""Independent frequencies behind that noise figure, about half of its bins."""
PEAK_HZ = 0.04
"""How far a peak may lie from its multiple, as standard deviation at low orders, because the mains wanders."""
_LEADERS = 6
"""Lines tried for the first phase."""
_LEAST_INFORMATION = 1e-3
"""On the phase of a segment, per square radian, when no line can be trusted."""
_FLOOR = 1e-30


@dataclass(frozen=True, slots=True)
class Comb:
    """Mains lines of one stretch.

    ``amplitude`` (20, 2) complex: peak re full scale, phase of the cosine at the stretch's first sample;
    ``variance`` (20, 2): of that complex amplitude, from noise; ``loss`` (20,): share of the amplitude lost by
    imperfect following, already put back; ``frequency_variance`` in Hz²; ``found`` False when nothing stands over
    the noise (the amplitudes are then good for an upper bound only).
    """

    frequency_hz: float
    frequency_variance: float
    amplitude: np.ndarray
    variance: np.ndarray
    loss: np.ndarray
    duration_s: float
    found: bool


def find_comb(
    spectra: np.ndarray, bin_hz: float, hop_s: float, families: tuple[float, ...] = (50.0, 60.0)
) -> Comb | None:
    """The comb in Hann ``spectra`` (segments, bins, 2), or None when there are fewer than three segments."""
    if len(spectra) < MIN_SEGMENTS:
        return None
    power = np.mean(np.abs(spectra) ** 2, axis=0) + _FLOOR
    frequency, found = _coarse(power, bin_hz, _independent(len(spectra), POWER_CORRELATION), families)
    noise = _noise_beside(power, frequency / bin_hz, len(spectra))
    if found:
        comb = _followed(spectra, bin_hz, hop_s, frequency, noise)
        if _is_mains(comb, min(families, key=lambda f: abs(f - frequency))):
            return comb
    return _averaged(spectra, bin_hz, hop_s, frequency, noise)


def _is_mains(comb: Comb, nominal_hz: float) -> bool:
    """A comb of several orders within ±1 Hz, or a lone line within ±0.25 Hz: farther off it is some motor's."""
    orders = np.count_nonzero(np.any(np.abs(comb.amplitude) ** 2 > CLEAR * comb.variance, axis=1))
    reach = SEARCH_HZ if orders > 1 else ALONE_HZ
    return bool(orders > 0 and abs(comb.frequency_hz - nominal_hz) <= reach)


def _independent(count: int, correlation: float) -> float:
    """Independent segments among ``count`` half-overlapping ones."""
    return count / (1.0 + 2.0 * correlation * (count - 1) / count)


def _median_share(shape: float) -> float:
    """Median over mean of a sum of ``shape`` exponential variates."""
    return float(special.gammaincinv(shape, 0.5) / shape)


def _coarse(power: np.ndarray, bin_hz: float, independent: float, families: tuple[float, ...]) -> tuple[float, bool]:
    """Frequency of the best comb within ±1 Hz of the families, and whether any line in it is more than chance.

    Every peak of the spectrum votes for the frequencies of which it is a multiple, with the logarithm of its height
    over the noise, the more narrowly the better its own frequency is known.
    """
    floor = ndimage.median_filter(power, size=(2 * _FAR + 1, 1), mode="nearest") / _median_share(independent)
    ratio = power / np.maximum(floor, _FLOOR)
    cells = 4.0 * SEARCH_HZ * float(ORDERS.sum()) / bin_hz
    freedom = 2.0 * independent
    threshold = float(special.fdtri(freedom, freedom * _NOISE_FREEDOM, 1.0 - FALSE_ALARM / cells))
    mild = float(special.fdtri(freedom, freedom * _NOISE_FREEDOM, 0.999))
    place, height = _peaks(ratio, mild)
    spread = np.hypot(PEAK_HZ, 0.45 * bin_hz / np.sqrt(independent * height))
    steps = round(SEARCH_HZ / STEP_HZ)
    best, best_score, tallest = families[0], 0.0, 0.0
    for family in families:
        grid = family + STEP_HZ * np.arange(-steps, steps + 1)
        order = np.clip(np.rint(place * bin_hz / family), ORDERS[0], ORDERS[-1])
        away = (place * bin_hz - grid[:, None] * order) / np.hypot(spread, PEAK_HZ * 0.2 * order)
        vote = np.exp(-0.5 * away**2)
        score = vote @ np.log(height) - 0.1 * (grid - family) ** 2
        index = int(np.argmax(score))
        if score[index] > best_score:
            best, best_score = float(grid[index]), float(score[index])
            tallest = float(np.max(height * (vote[index] > 0.1), initial=0.0))
    return best, tallest > threshold


def _peaks(ratio: np.ndarray, least: float) -> tuple[np.ndarray, np.ndarray]:
    """Places in bins (parabola through the logarithms) and heights of the maxima above ``least``, both channels."""
    middle = ratio[1:-1]
    bins, channel = np.nonzero((middle > least) & (middle >= ratio[:-2]) & (middle > ratio[2:]))
    low, top, high = (np.log(np.maximum(ratio[bins + k, channel], _FLOOR)) for k in range(3))
    return bins + 1 + 0.5 * (low - high) / (low - 2.0 * top + high), np.exp(top)


def _noise_beside(power: np.ndarray, spacing: float, segments: int) -> np.ndarray:
    """Noise power (20, 2) of a segment at each order, from the bins on both sides."""
    share = _median_share(_independent(segments, POWER_CORRELATION))
    noise = np.empty((len(ORDERS), 2))
    for row, order in enumerate(ORDERS):
        middle = round(order * spacing)
        below = power[max(2, middle - _FAR) : middle - _NEAR + 1]
        above = power[middle + _NEAR : middle + _FAR + 1]
        sides = [np.median(side, axis=0) for side in (below, above) if len(side)]
        noise[row] = np.exp(np.mean(np.log(sides), axis=0)) / share if sides else _FLOOR
    return np.maximum(noise, _FLOOR)


def _middles(count: int, hop_s: float) -> np.ndarray:
    return np.asarray((np.arange(count) + 1.0) * hop_s)


def _mean_variance(noise: np.ndarray, count: int) -> np.ndarray:
    return np.asarray(noise / _independent(count, AMPLITUDE_CORRELATION))


def _averaged(spectra: np.ndarray, bin_hz: float, hop_s: float, frequency_hz: float, noise: np.ndarray) -> Comb:
    count = len(spectra)
    lines = at_frequency(spectra, frequency_hz * ORDERS / bin_hz)
    turned = lines * np.exp(-2j * np.pi * frequency_hz * _middles(count, hop_s)[:, None, None] * ORDERS[:, None])
    variance = _mean_variance(noise, count)
    return Comb(frequency_hz, 0.0, turned.mean(axis=0), variance, np.zeros(len(ORDERS)), (count + 1) * hop_s, False)


def _followed(spectra: np.ndarray, bin_hz: float, hop_s: float, frequency_hz: float, noise: np.ndarray) -> Comb:
    count = len(spectra)
    local_hz = _local_frequencies(spectra, bin_hz, frequency_hz, noise)
    steps = 0.5 * (local_hz[1:] + local_hz[:-1]) * hop_s
    phase = 2.0 * np.pi * (local_hz[0] * hop_s + np.concatenate([[0.0], np.cumsum(steps)]))
    lines = at_frequency(spectra, local_hz[:, None] * ORDERS / bin_hz)
    residual = lines * np.exp(-1j * phase[:, None, None] * ORDERS[:, None])
    phase = phase + _leading_phase(residual, noise)
    covariance = np.zeros((count, count))
    for _ in range(4):
        local_hz = np.gradient(phase, hop_s) / (2.0 * np.pi)
        lines = at_frequency(spectra, local_hz[:, None] * ORDERS / bin_hz)
        residual = lines * np.exp(-1j * phase[:, None, None] * ORDERS[:, None])
        mean = residual.mean(axis=0)
        scatter = _unsteady(residual, noise)
        trusted = np.abs(mean) ** 2 > 6.0 * _mean_variance(scatter, count)
        slope = np.where(trusted, 2.0 / scatter, 0.0) * ORDERS[:, None] / (1.0 + 2.0 * AMPLITUDE_CORRELATION)
        information = float(np.sum(slope * np.abs(mean) ** 2 * ORDERS[:, None])) + _LEAST_INFORMATION
        gradient = np.sum(slope * np.imag(np.conj(mean) * residual), axis=(1, 2))
        change, covariance = _smoothed_step(phase, information, gradient, hop_s)
        phase = phase + change
    residual = lines * np.exp(-1j * phase[:, None, None] * ORDERS[:, None])
    jitter = ORDERS**2 * float(np.mean(np.diag(covariance)))
    kept = np.exp(-0.5 * np.minimum(jitter, 1.5))
    onset = 2.0 * phase[0] - phase[1]
    amplitude = residual.mean(axis=0) / kept[:, None] * np.exp(1j * onset * ORDERS)[:, None]
    variance = _mean_variance(_unsteady(residual, noise), count) / kept[:, None] ** 2
    frequency, frequency_variance = _mean_frequency(phase, covariance, hop_s)
    return Comb(frequency, frequency_variance, amplitude, variance, 1.0 - kept, (count + 1) * hop_s, True)


def _unsteady(residual: np.ndarray, noise: np.ndarray) -> np.ndarray:
    """Noise power (20, 2) of a segment, or the scatter of the line itself where that is clearly more."""
    count = len(residual)
    scatter = np.sum(np.abs(residual - residual.mean(axis=0)) ** 2, axis=0) / (count - 1)
    return np.where(scatter > noise * (1.0 + 4.0 / math.sqrt(count)), scatter, noise)


def _local_frequencies(spectra: np.ndarray, bin_hz: float, frequency_hz: float, noise: np.ndarray) -> np.ndarray:
    """Mains frequency of each segment, from the power of all lines round it and its neighbours."""
    shift = STEP_HZ * np.arange(-12, 13)
    sizes = np.stack(
        [np.abs(at_frequency(spectra, (frequency_hz + d) * ORDERS / bin_hz)) ** 2 / noise for d in shift], axis=1
    )
    clear = sizes.mean(axis=0).max(axis=0) > 1.0 + 5.0 / math.sqrt(len(spectra))
    chance = np.sum(np.log1p(sizes) * clear, axis=(2, 3))
    near = ndimage.uniform_filter1d(chance, min(5, len(chance)), axis=0, mode="nearest") * min(5, len(chance))
    near -= shift**2 / (2.0 * FOLLOW_HZ**2)
    best = np.clip(np.argmax(near, axis=1), 1, len(shift) - 2)
    rows = np.arange(len(near))
    left, middle, right = near[rows, best - 1], near[rows, best], near[rows, best + 1]
    bend = np.minimum(left - 2.0 * middle + right, -_FLOOR)
    offset = np.clip(0.5 * (left - right) / bend, -1.0, 1.0)
    return np.asarray(frequency_hz + shift[best] + offset * STEP_HZ)


def _leading_phase(residual: np.ndarray, noise: np.ndarray) -> np.ndarray:
    """First estimate of the common phase that is left: that of the line which makes most of the others steady."""
    strength = np.mean(np.abs(residual) ** 2, axis=0) / noise
    best, best_score = np.zeros(len(residual)), -1.0
    for place in np.argsort(strength, axis=None)[::-1][:_LEADERS]:
        row, channel = np.unravel_index(int(place), strength.shape)
        angle = np.unwrap(np.angle(residual[:, row, channel]))
        common = (angle - angle.mean()) / ORDERS[row]
        steady = np.mean(residual * np.exp(-1j * common[:, None, None] * ORDERS[:, None]), axis=0)
        score = float(np.sum(np.log1p(len(residual) * np.abs(steady) ** 2 / noise)))
        if score > best_score:
            best, best_score = common, score
    return best


def _smoothed_step(
    phase: np.ndarray, information: float, gradient: np.ndarray, hop_s: float
) -> tuple[np.ndarray, np.ndarray]:
    """One step towards the most likely phases under a random walk of the frequency, and their covariance."""
    bend = np.diff(np.eye(len(phase)), 2, axis=0)
    stiffness = 1.0 / (2.0 * np.pi * WANDER_HZ * hop_s**1.5) ** 2
    prior = stiffness * (bend.T @ bend)
    covariance = np.linalg.inv(information * np.eye(len(phase)) + prior)
    return covariance @ (gradient - prior @ phase), covariance


def _mean_frequency(phase: np.ndarray, covariance: np.ndarray, hop_s: float) -> tuple[float, float]:
    """Mean frequency of the whole stretch in Hz, and its variance; the phase goes on straight beyond the middles."""
    ends = np.zeros(len(phase))
    ends[-1] += 2.0
    ends[-2] -= 1.0
    ends[0] -= 2.0
    ends[1] += 1.0
    turns = 2.0 * np.pi * (len(phase) + 1) * hop_s
    return float(ends @ phase) / turns, float(ends @ covariance @ ends) / turns**2
