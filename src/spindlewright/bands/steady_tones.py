"""Steady tones from runs: split where the level steps, measured in frequency and level, told by kind."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.channel_kind import kind_of_tone
from spindlewright.bands.level_steps import step_places
from spindlewright.bands.lines import Lines, decibels
from spindlewright.bands.piece import Piece
from spindlewright.bands.runs import Run

STEADY_OCTAVES = 0.084
"""6 %: the widest a tone may wander and still be one band."""
WEAK_CHANNEL_SHARE = 0.03
GAP_SHARE = 10 ** (-14 / 10)


def is_steady(run: Run, lines: Lines) -> bool:
    """True when the line stays within 6 % but for a few disturbed frames."""
    low, high = np.percentile(np.log2(lines.hz[run.good]), (3, 97))
    return bool(high - low < STEADY_OCTAVES)


def steady_pieces(run: Run, lines: Lines) -> list[Piece]:
    """The bands of one steady run: a new one wherever the level of a channel steps."""
    channels = np.stack((lines.left[run.good], lines.right[run.good]), axis=1)
    both = channels.sum(axis=1, keepdims=True)
    # a weak channel holds mostly noise: its ups and downs are no steps
    levels = decibels(channels + WEAK_CHANNEL_SHARE * both)
    # +3 for equal channels in phase, -3 for opposite ones: a change of sense is a step too
    sense = 6.0 * lines.cross.real[run.good] / both[:, 0]
    track = np.column_stack((levels, sense))
    cuts = [0, *(_at_gap(place, run.good) for place in step_places(track, lines.frame_s)), run.good.size]
    pieces = []
    for begin, end in pairwise(cuts):
        good = run.good[begin:end]
        power = (lines.left + lines.right)[good]
        # what is far below the tone's level is the gap after it, not the tone
        good = good[power > np.median(power) * GAP_SHARE]
        if good.size >= 2:
            first, stop = int(good[0]), int(good[-1]) + 1
            pieces.append(tone_piece(first, stop, good, lines))
    return pieces


def _at_gap(place: int, good: NDArray[np.intp]) -> int:
    """A step next to a short gap lies in the gap, not in the frames that it half fills."""
    first, stop = max(1, place - 3), min(good.size, place + 4)
    jumps = good[first:stop] - good[first - 1 : stop - 1]
    return first + int(np.argmax(jumps)) if jumps.size and jumps.max() > 2 else place


def tone_piece(first: int, stop: int, good: NDArray[np.intp], lines: Lines) -> Piece:
    """Frequency, levels and kind over the good frames; the outermost frames, half filled, are left out.

    The frequency is the slope of a straight line through the phase: the mean of the frames' frequencies with
    weights that fall to nothing at both ends as a parabola (identity of least squares, derived).
    """
    inner = good[1:-1] if good.size > 4 else good
    left, right = float(np.median(lines.left[inner])), float(np.median(lines.right[inner]))
    hz = lines.hz[inner]
    steady = np.abs(hz / np.sort(hz)[hz.size // 2] - 1.0) < 0.03
    total = (lines.left + lines.right)[inner]
    place = (inner - first + 0.5) / (stop - first)
    weights = (np.minimum(total, 2 * np.median(total)) * place * (1.0 - place))[steady]
    cross = complex(np.mean(lines.cross[inner][steady]))
    kind, phase_deg = kind_of_tone(left, right, cross)
    return Piece(
        first,
        stop,
        kind,
        left,
        right,
        cross,
        hz=float(np.sum(hz[steady] * weights) / np.sum(weights)),
        phase_deg=phase_deg,
    )
