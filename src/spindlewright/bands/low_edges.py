"""Edges of low tones: from the slow stream brought to 0 Hz at the tone's own frequency."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.piece import Piece
from spindlewright.signal.survey_tracks import SurveyResult

PERIODS = 3.0
REACH_S = 0.45
STILL_THERE = 0.7


def low_edge(piece: Piece, inward: int, survey: SurveyResult) -> float | None:
    """Time in s at which a low tone begins (``inward`` +1) or ends (-1); None when it goes on at its level.

    The tone's amplitude, averaged over three periods, passes half its level exactly at the edge.
    """
    assert piece.hz is not None
    rate = survey.slow_rate_hz
    edge_s = (piece.first if inward > 0 else piece.stop) * survey.frame_s
    length_s = (piece.stop - piece.first) * survey.frame_s
    inner_s = min(REACH_S, 0.5 * length_s)
    half = max(1, round(PERIODS * rate / piece.hz / 2))
    low_s, high_s = (edge_s - REACH_S, edge_s + inner_s) if inward > 0 else (edge_s - inner_s, edge_s + REACH_S)
    low, high = max(0, round(low_s * rate) - half), min(survey.slow.shape[1], round(high_s * rate) + half)
    if high - low < 4 * half:
        return None
    channel = 0 if piece.left >= piece.right else 1
    turning = np.exp(-2j * np.pi * piece.hz / rate * np.arange(low, high))
    running = np.concatenate(([0.0], np.cumsum(2.0 * survey.slow[channel, low:high] * turning)))
    amplitude = np.abs(running[2 * half :] - running[: -2 * half]) / (2 * half)
    level = np.sqrt(max(piece.left, piece.right))
    outward = amplitude[::-1] if inward < 0 else amplitude
    if outward[: max(1, outward.size // 4)].min() > STILL_THERE * level:
        return None
    cut = best_cut(outward >= 0.5 * level)
    index = cut if inward > 0 else amplitude.size - cut
    return (low + half + index) / rate


def best_cut(over: NDArray[np.bool_]) -> int:
    """The place that leaves most values below before it and over after it: a tick or a dip moves nothing."""
    score = np.concatenate(([0], np.cumsum(~over))) + np.concatenate((np.cumsum(over[::-1])[::-1], [0]))
    return int(np.argmax(score))
