"""Mains lines over the whole side, from the survey's slow stream: how strong, and whether at the right place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.lines import decibels
from spindlewright.bands.piece import Piece
from spindlewright.signal.survey_tracks import SurveyResult

SEGMENT_S = 4.0
SIGNIFICANT_DB = 10.0
ENOUGH_DB = 30.0
MAINS_HZ = (50.0, 60.0)
CLOCK_RATIOS = (48.0 / 44.1, 44.1 / 48.0)
"""Stated over true sample rate when one family of rates is taken for the other (88.2 for 96 kHz is the same)."""
NEAR = 0.005
LINES_NEEDED = 3
TWO_CLEAR_LINES_DB = 50.0
"""Two lines do as well for a wrong clock when both are clear: this sum of what they stand over the noise, each
counted up to ``ENOUGH_DB``, so neither is below 20 dB (own choice)."""
MOST_SEGMENTS = 200
BESIDE_LINES = 0.02
"""How far the neighbours of a line pull the frequency found in a short frame, as a share."""
STRONGEST_OVER_OTHERS = 10 ** (8 / 10)


@dataclass(frozen=True, slots=True)
class MainsHum:
    """``frequency_hz`` of the first order as it stands in the file; ``lines`` orders found, ``powers`` of each (both
    channels, squared amplitude); ``level_db`` their power sum in the louder channel (0: full-scale sine);
    ``clock_ratio`` stated over true sample rate, 1 when right."""

    frequency_hz: float
    lines: tuple[int, ...]
    powers: tuple[float, ...]
    level_db: float
    clock_ratio: float

    def power_at(self, hz: float) -> float:
        """Power of the line that stands within 2 % of ``hz``, 0 when there is none.

        Neighbours 50 Hz away pull a frequency that was found in a frame of 50 ms by so much.

        A line far stronger than all others is none: it is a tone of the disc that happens to stand there.
        """
        for order, power in zip(self.lines, self.powers, strict=True):
            if abs(hz / order / self.frequency_hz - 1) < BESIDE_LINES:
                others = [p for n, p in zip(self.lines, self.powers, strict=True) if n != order]
                return power if power < STRONGEST_OVER_OTHERS * max(others) else 0.0
        return 0.0


def mains_hum(survey: SurveyResult, quiet: Sequence[Piece] = (), mains_hz: float | None = None) -> MainsHum | None:
    """The comb of mains lines below 300 Hz; None when fewer than two lines show or the recording is too short.

    The spectrum is the median over segments of 4 s, so that low tones and ticks in some of them do not count.
    ``quiet`` stretches are used when there are three segments of them, else all of the side. ``mains_hz``, where
    known, leaves only the nearer of 50 and 60 Hz to look for.
    """
    power = _median_spectrum(survey, quiet)
    if power is None:
        return None
    together = power.sum(axis=0)
    bin_hz = 1.0 / SEGMENT_S
    noise = _noise_beside(together)
    families = MAINS_HZ if mains_hz is None else (min(MAINS_HZ, key=lambda m: abs(m - mains_hz)),)
    right = [_best(together, noise, bin_hz, mains, survey.slow_to_hz) for mains in families]
    best = max(right, key=lambda c: c[0])
    ratio = 1.0
    for mains in families:
        for clock in CLOCK_RATIOS:
            comb = _best(together, noise, bin_hz, mains * clock, survey.slow_to_hz)
            told = len(comb[2]) >= LINES_NEEDED or (len(comb[2]) == 2 and comb[0] >= TWO_CLEAR_LINES_DB)
            if told and comb[0] > 1.5 * best[0] and max(len(c[2]) for c in right) <= 1:
                best, ratio = comb, clock
    _, frequency, orders = best
    if len(orders) < 2:
        return None
    powers = [[_line_power(channel, order * frequency, bin_hz) for order in orders] for channel in power]
    level = max(sum(channel) for channel in powers)
    both = tuple(sum(pair) for pair in zip(*powers, strict=True))
    return MainsHum(frequency, orders, both, float(decibels(level)), ratio)


def _median_spectrum(survey: SurveyResult, quiet: Sequence[Piece]) -> NDArray[np.float64] | None:
    """Squared amplitudes (2, bins) of a sine at each bin, Hann window of 4 s."""
    length = round(SEGMENT_S * survey.slow_rate_hz)
    starts = [
        start
        for p in quiet
        if p.kind != "noise"
        for start in range(
            round(p.first * survey.frame_s * survey.slow_rate_hz),
            round(p.stop * survey.frame_s * survey.slow_rate_hz) - length,
            length // 2,
        )
    ]
    if len(starts) < 3:
        starts = list(range(0, survey.slow.shape[1] - length + 1, length // 2))
    if len(starts) < 3:
        return None
    starts = starts[:: 1 + len(starts) // MOST_SEGMENTS]
    segments = np.stack([survey.slow[:, s : s + length] for s in starts])
    window = np.hanning(length + 1)[:-1] * (4.0 / length)
    # one bin a quarter of a hertz wide whatever the rate: the segment is 4 s long within half a sample
    return np.asarray(np.median(np.abs(np.fft.rfft(segments * window, axis=2)) ** 2, axis=0))


def _noise_beside(power: NDArray[np.float64]) -> NDArray[np.float64]:
    """Median of the 41 bins (±5 Hz) round every bin."""
    padded = np.pad(power, 20, mode="edge")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, 41), axis=1)) + 1e-18


def _best(
    power: NDArray[np.float64], noise: NDArray[np.float64], bin_hz: float, near_hz: float, to_hz: float
) -> tuple[float, float, tuple[int, ...]]:
    """Score, frequency and significant orders of the best comb within 0.5 % of ``near_hz``."""
    best: tuple[float, float, tuple[int, ...]] = (0.0, near_hz, ())
    for frequency in near_hz * np.linspace(1 - NEAR, 1 + NEAR, 41):
        score, orders = 0.0, []
        for order in range(1, int(to_hz / frequency) + 1):
            place = order * frequency / bin_hz
            low = int(place)
            share = place - low
            height = (1 - share) * power[low] + share * power[low + 1]
            over = float(decibels(height / noise[low]))
            if over > SIGNIFICANT_DB:
                orders.append(order)
                score += min(over, ENOUGH_DB) + 0.001 * over
        if score > best[0]:
            best = (score, float(frequency), tuple(orders))
    return best


def _line_power(power: NDArray[np.float64], hz: float, bin_hz: float) -> float:
    """Power of a Hann line: the sum of its bins over the window's 1.5 bins of noise width."""
    middle = round(hz / bin_hz)
    return float(power[middle - 2 : middle + 3].sum() / 1.5)
