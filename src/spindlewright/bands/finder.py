"""Finding the bands of a side in its survey: tones, single-channel tones, sweeps, silence, noise, the lifted arm."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from spindlewright.bands.edges import with_times
from spindlewright.bands.lines import Lines, decibels, dominant_lines
from spindlewright.bands.piece import Piece
from spindlewright.bands.quiet import quiet_pieces, quiet_stretches
from spindlewright.bands.runs import tonal_runs
from spindlewright.bands.steady_tones import is_steady, steady_pieces
from spindlewright.signal.survey_tracks import SurveyResult

SHORTEST_TONE_S = 0.8
FAINTEST_DB = 38.0
"""A line this far below the loudest tone is an echo of the next groove, hum or crosstalk, not a band."""


def find_pieces(survey: SurveyResult) -> list[Piece]:
    """All pieces of the side in order of time, with times."""
    lines = dominant_lines(survey)
    tones = _tones(lines)
    taken = np.zeros(survey.frames, dtype=bool)
    for piece in tones:
        taken[piece.first : piece.stop] = True
    loudest = max((float(decibels(p.power)) for p in tones), default=None)
    quiet = quiet_pieces(quiet_stretches(survey, lines, taken), survey, loudest)
    timed = [with_times(p, survey) for p in tones]
    timed += [replace(p, start_s=p.first * survey.frame_s, end_s=p.stop * survey.frame_s) for p in quiet]
    return sorted(timed, key=lambda p: p.start_s)


def _tones(lines: Lines) -> list[Piece]:
    pieces: list[Piece] = []
    for run in tonal_runs(lines):
        if is_steady(run, lines):
            pieces += steady_pieces(run, lines)
    if not pieces:
        return []
    loudest = max(p.power for p in pieces)
    shortest = SHORTEST_TONE_S / lines.frame_s
    return [p for p in pieces if p.stop - p.first >= shortest and decibels(p.power) > decibels(loudest) - FAINTEST_DB]
