"""Loud ticks as the survey sees them: frames whose noise floor jumps up for a moment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.lines import decibels
from spindlewright.signal.survey_tracks import SurveyResult

TICK_DB = 10.0
TURNS_HZ = (100.0 / 180.0, 45.0 / 60.0, 3600.0 / 46.0 / 60.0)
LARGEST_SPEED_ERROR = 0.06
FEWEST_TURNS = 4
SHARE_OF_TURNS = 0.7
SHARE_OF_TICKS = 0.6


def tick_times(survey: SurveyResult, first: int = 0, stop: int | None = None) -> NDArray[np.float64]:
    """Times in s of frames whose broadband floor stands 10 dB over that of the second round them.

    A tick shows as its frame's middle; two ticks within a frame count once. The frames at a tone's edge, whose
    floor is raised by the switching, are for the caller to leave out.
    """
    floor = decibels(survey.mid.floor[first:stop])
    if floor.size < 11:
        return np.zeros(0)
    around = np.median(np.lib.stride_tricks.sliding_window_view(np.pad(floor, 10, mode="edge"), 21), axis=1)
    over = floor > around + TICK_DB
    over[1:] &= ~over[:-1]
    return (np.flatnonzero(over) + first + 0.5) * survey.frame_s


@dataclass(frozen=True, slots=True)
class TickedTurns:
    """Ticks once per turn: the rate of turning and the share of turns that ticked."""

    rate_hz: float
    share: float


def once_per_turn(times_s: NDArray[np.float64], length_s: float) -> TickedTurns | None:
    """Whether ticks come once per turn of 33⅓, 45 or 78 rpm (within 6 %), as in the closed run-out groove.

    At least four turns, seven of ten of them with a tick, and six of ten ticks at that place of the turn.
    """
    if times_s.size < FEWEST_TURNS:
        return None
    best: TickedTurns | None = None
    for nominal in TURNS_HZ:
        turns = length_s * nominal
        if turns < FEWEST_TURNS:
            continue
        rates = nominal * np.linspace(1 - LARGEST_SPEED_ERROR, 1 + LARGEST_SPEED_ERROR, 241)
        for rate in rates.tolist():
            phase = np.mod(times_s * rate, 1.0)
            # the fullest twelfth of a turn, for frames of 50 ms
            bins = np.histogram(phase, bins=24, range=(0.0, 1.0))[0]
            pairs = bins + np.roll(bins, -1)
            place = int(np.argmax(pairs))
            near = np.mod(phase - (place + 1) / 24 + 0.5, 1.0) - 0.5
            hits = times_s[np.abs(near) < 1 / 24 + 0.02]
            ticked = np.unique(np.round(hits * rate - (place + 1) / 24)).size
            share = ticked / max(1.0, turns)
            if share > SHARE_OF_TURNS and hits.size > SHARE_OF_TICKS * times_s.size and (best is None or share > best.share):
                best = TickedTurns(rate, min(1.0, share))
    return best
