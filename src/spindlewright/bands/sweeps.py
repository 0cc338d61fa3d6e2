"""Sweeps: a run whose line glides in one direction; steady stretches before and after it are tones."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.lines import Lines
from spindlewright.bands.piece import Piece
from spindlewright.bands.runs import Run
from spindlewright.bands.steady_tones import is_steady, steady_pieces

GLIDING_OCTAVES_PER_S = 0.012
"""Slower is steady: wow of 0.3 % peak at 33⅓ rpm moves a tone by at most 0.009 octaves within a second."""
SMALLEST_SWEEP_OCTAVES = 0.5
SHORTEST_SWEEP_S = 1.5
SHORTEST_STEADY_S = 2.0
WAVERING = 1.3
"""The way travelled over the net way of a sweep; music wavers more."""


def gliding_pieces(run: Run, lines: Lines) -> list[Piece]:
    """Sweeps and steady tones of one run that is not steady as a whole; music gives nothing."""
    octave = _smoothed(np.log2(lines.hz[run.good]))
    reach = max(1, round(0.5 / lines.frame_s))
    index = np.arange(octave.size)
    ahead, behind = np.minimum(index + reach, octave.size - 1), np.maximum(index - reach, 0)
    elapsed = (run.good[ahead] - run.good[behind]) * lines.frame_s
    slope = (octave[ahead] - octave[behind]) / np.maximum(elapsed, lines.frame_s)
    sense = np.where(np.abs(slope) < GLIDING_OCTAVES_PER_S, 0, np.sign(slope)).astype(int)
    pieces: list[Piece] = []
    for begin, end in _stretches(_without_short(sense, reach)):
        good = run.good[begin:end]
        if good.size < 3:
            continue
        part = Run(int(good[0]), int(good[-1]) + 1, good)
        length_s = (part.stop - part.first) * lines.frame_s
        if sense[(begin + end) // 2] == 0:
            if length_s >= SHORTEST_STEADY_S and is_steady(part, lines):
                pieces += steady_pieces(part, lines)
            continue
        net = abs(octave[end - 1] - octave[begin])
        travelled = float(np.abs(np.diff(octave[begin:end])).sum())
        if net >= SMALLEST_SWEEP_OCTAVES and length_s >= SHORTEST_SWEEP_S and travelled < WAVERING * net:
            pieces.append(_sweep(part, lines))
    return pieces


def joined_sweeps(earlier: Piece, later: Piece) -> Piece | None:
    """One sweep from two that follow each other, such as its part below and above 150 Hz; None if they do not."""
    if earlier.kind != "sweep" or later.kind != "sweep":
        return None
    a, b, c, d = (np.log2(x or 1.0) for x in (earlier.from_hz, earlier.to_hz, later.from_hz, later.to_hz))
    if abs(b - c) > 0.35 or (b - a) * (d - c) <= 0 or later.first - earlier.stop > 20:
        return None
    longer = max((earlier, later), key=lambda p: p.stop - p.first)
    return Piece(
        earlier.first,
        later.stop,
        "sweep",
        longer.left,
        longer.right,
        longer.cross,
        from_hz=earlier.from_hz,
        to_hz=later.to_hz,
        phase_deg=longer.phase_deg,
    )


def _sweep(run: Run, lines: Lines) -> Piece:
    good = run.good
    ends = [float(lines.hz[good[0]]), float(lines.hz[good[-1]])]
    return Piece(
        run.first,
        run.stop,
        "sweep",
        float(np.median(lines.left[good])),
        float(np.median(lines.right[good])),
        complex(np.mean(lines.cross[good])),
        from_hz=ends[0],
        to_hz=ends[1],
    )


def _smoothed(track: NDArray[np.float64]) -> NDArray[np.float64]:
    padded = np.pad(track, 2, mode="edge")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, 5), axis=1))


def _stretches(sense: NDArray[np.int_]) -> list[tuple[int, int]]:
    cuts = [0, *(np.flatnonzero(np.diff(sense)) + 1).tolist(), sense.size]
    return list(pairwise(cuts))


def _without_short(sense: NDArray[np.int_], shortest: int) -> NDArray[np.int_]:
    """Stretches shorter than half a second take the sense of what comes before them."""
    out = sense.copy()
    for begin, end in _stretches(sense):
        if end - begin < shortest and begin > 0:
            out[begin:end] = out[begin - 1]
    return out
