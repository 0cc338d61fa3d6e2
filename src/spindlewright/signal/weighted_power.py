"""Mean power of two channels under weighting curves, exact to the analogue curve at any sample rate.

The spectrum of each Hann segment is weighted by the curve itself, so there is no digital filter to design, none to
settle, and no warping near half the sample rate. A Hann segment smears each line over its neighbours; the curve is
sharpened by as much beforehand, so that the smeared curve is the true one to fourth order (derived).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spindlewright.signal.hann_segments import POWER_CORRELATION, SegmentSpectrum

HANN_NOISE_BANDWIDTH = 1.5
"""Equivalent noise bandwidth of a Hann window in bins."""


def sharpened(curve: np.ndarray) -> np.ndarray:
    """Weights (…, bins) whose average over a Hann line's lobe is ``curve`` (power gain at the bins from 0 Hz on).

    The lobe has second and fourth moments of 1/3 bin² and 1/3 bin⁴, so differences of the curve times 1/6 and 1/36
    take its smearing off; a steady offset and slow warp then count for nothing, as under the curve itself. Zero
    frequency is there once, every other one stands for its negative too, hence its half weight.
    """
    bent = _second_difference(curve)
    weights = curve - bent / 6.0 + _second_difference(bent) / 36.0
    weights[..., 0] *= 0.5
    return np.asarray(weights)


def _second_difference(values: np.ndarray) -> np.ndarray:
    """Second differences along the last axis, even about the first value, 0 at the last."""
    mirrored = np.concatenate([values[..., 1:2], values], axis=-1)
    difference = mirrored[..., 2:] - 2.0 * mirrored[..., 1:-1] + mirrored[..., :-2]
    return np.concatenate([difference, np.zeros_like(values[..., :1])], axis=-1)


@dataclass(frozen=True, slots=True)
class PairPower:
    """Power of a stretch: ``left`` · ``left``, ``right`` · ``right`` and the real part of ``left`` · ``right``.

    ``spectrum`` (bins, 3): per bin, summing to the power of the stretch (a full-scale sine is 1);
    ``segments`` (n, curves, 3): the same under each curve, one row a segment; ``bridged``: share under ticks.
    """

    bin_hz: float
    spectrum: np.ndarray
    segments: np.ndarray
    bridged: float
    duration_s: float


class PairPowerState:
    """Gathers ``PairPower`` from segments; ``curves`` (curves, bins) are power gains at the bins."""

    def __init__(self, bin_hz: float, hop_s: float, curves: np.ndarray) -> None:
        self._bin_hz = bin_hz
        self._hop_s = hop_s
        self._weights = sharpened(curves)
        self._sum = np.zeros((curves.shape[1], 3))
        self._rows: list[np.ndarray] = []
        self._bridged = 0.0

    def add(self, segment: SegmentSpectrum) -> None:
        """Take the next segment."""
        left, right = segment.spectrum[:, 0], segment.spectrum[:, 1]
        power = (
            np.stack([np.abs(left) ** 2, np.abs(right) ** 2, np.real(left * np.conj(right))], axis=1)
            / HANN_NOISE_BANDWIDTH
        )
        self._sum += power
        self._rows.append(self._weights @ power)
        self._bridged += segment.bridged

    def power(self) -> PairPower | None:
        """What has been gathered; None before the third segment."""
        count = len(self._rows)
        if count < 3:
            return None
        return PairPower(
            self._bin_hz,
            self._sum / count,
            np.stack(self._rows),
            self._bridged / count,
            (count + 1) * self._hop_s,
        )


def mean_and_scatter(values: np.ndarray) -> tuple[float, float, float]:
    """Mean of the powers of half-overlapping segments, its standard uncertainty and the degrees of freedom.

    Neighbours share half their samples; the powers of noise in them are correlated by 1/36.
    """
    count = len(values)
    spread = float(np.var(values, ddof=1))
    return (
        float(np.mean(values)),
        float(np.sqrt(spread / count * (1.0 + 2.0 * POWER_CORRELATION * (count - 1) / count))),
        float(count - 1),
    )


def without_lines(
    power: np.ndarray, bin_hz: float, lines_hz: Sequence[float], reach: int = 3, beside: int = 6
) -> np.ndarray:
    """Spectrum (bins, 3) with the bins of each line replaced by the mean of those beside it."""
    result = power.copy()
    for line_hz in lines_hz:
        middle = round(line_hz / bin_hz)
        first, last = max(0, middle - reach), min(len(power) - 1, middle + reach)
        around = np.concatenate([power[max(0, first - beside) : first], power[last + 1 : last + 1 + beside]])
        if len(around):
            result[first : last + 1] = around.mean(axis=0)
    return result
