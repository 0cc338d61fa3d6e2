"""Loud ticks as the survey sees them, and whether they come once per turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import bdtrc

from spindlewright.bands.lines import decibels
from spindlewright.signal.survey_tracks import SurveyResult

TICK_DB = 10.0
DEAD_TIME_S = 0.025
TURNS_HZ = (100.0 / 180.0, 45.0 / 60.0, 3600.0 / 46.0 / 60.0)
LARGEST_SPEED_ERROR = 0.06
FEWEST_TURNS = 5
SHARE_OF_TURNS = 0.75
NEAR_S = 0.015
CHANCE = 1e-3
MOST_FIRST_TICKS = 60


def ticks_in_quiet(survey: SurveyResult, start_s: float, end_s: float) -> NDArray[np.float64]:
    """Times in s of 5 ms steps of a quiet stretch that stand 10 dB over the second round them.

    Ticks nearer than 25 ms count once.
    """
    step = survey.envelope_s
    first, stop = round(start_s / step), round(end_s / step)
    level = decibels(survey.envelope[first:stop])
    half = round(0.5 / step)
    if level.size < 2 * half:
        return np.zeros(0)
    # the median of every tenth second is enough, and a hundred times faster than one of every step
    coarse = max(1, half // 5)
    windows = np.lib.stride_tricks.sliding_window_view(np.pad(level, half, mode="edge"), 2 * half + 1)[::coarse]
    around = np.repeat(np.median(windows, axis=1), coarse)[: level.size]
    over = np.flatnonzero(level > around + TICK_DB)
    if not over.size:
        return np.zeros(0)
    apart = np.concatenate(([True], np.diff(over) > DEAD_TIME_S / step))
    return np.asarray((over[apart] + first + 0.5) * step, dtype=np.float64)


def ticks_under_tone(survey: SurveyResult, first: int, stop: int) -> int:
    """Number of frames whose floor between the lines stands 10 dB over that of the second round them.

    A tick near a frame's edge, where its window is closed, is missed: about one in four. The frames at a tone's
    edge, whose floor is raised by the switching, are for the caller to leave out.
    """
    floor = decibels(survey.mid.floor[first:stop])
    if floor.size < 11:
        return 0
    around = np.median(np.lib.stride_tricks.sliding_window_view(np.pad(floor, 10, mode="edge"), 21), axis=1)
    over = floor > around + TICK_DB
    over[1:] &= ~over[:-1]
    return int(np.count_nonzero(over))


@dataclass(frozen=True, slots=True)
class TickedTurns:
    """Ticks once per turn: the rate of turning in Hz, the time of the first, the share of turns that ticked."""

    rate_hz: float
    from_s: float
    share: float


def once_per_turn(times_s: NDArray[np.float64], end_s: float) -> TickedTurns | None:
    """The stretch up to ``end_s`` whose ticks come once per turn of 33⅓, 45 or 78 rpm, as in a closed groove.

    Speed within 6 %; at least five turns, three of four of them with a tick, and less than one chance in a thousand
    that the other ticks alone would give as many, for all rates and beginnings tried. Earlier ticks are let be.
    """
    best: TickedTurns | None = None
    most = 0
    for nominal in TURNS_HZ if times_s.size >= FEWEST_TURNS else ():
        rates = nominal * np.linspace(1 - LARGEST_SPEED_ERROR, 1 + LARGEST_SPEED_ERROR, 481)
        turns = (times_s[None, :] - end_s) * rates[:, None]
        for first in range(min(times_s.size - FEWEST_TURNS + 1, MOST_FIRST_TICKS)):
            since = turns[:, first:] - turns[:, first : first + 1]
            hits = np.abs(since - np.round(since)) < NEAR_S * rates[:, None]
            at = int(np.argmax(hits.sum(axis=1)))
            rate, hit = float(rates[at]), hits[at]
            numbers = np.unique(np.round(since[at][hit]))
            found, expected = numbers.size, int((end_s - times_s[first]) * rate) + 1
            # the stretch must begin in earnest: two of its first three turns tick
            if found <= most or found < max(FEWEST_TURNS, SHARE_OF_TURNS * expected) or (numbers < 3).sum() < 2:
                continue
            others_per_s = np.count_nonzero(~hit) / (end_s - times_s[first])
            by_chance = 1.0 - np.exp(-2.0 * NEAR_S * others_per_s - 1e-3)
            tried = 3 * rates.size * times_s.size
            # the first tick is given, the others may fall by chance
            if bdtrc(found - 2, max(expected - 1, found - 1), by_chance) * tried < CHANCE:
                best, most = TickedTurns(rate, float(times_s[first]), min(1.0, found / expected)), found
    return best
