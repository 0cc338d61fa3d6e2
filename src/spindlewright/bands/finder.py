"""Finding the bands of a side in its survey: tones, single-channel tones, sweeps, silence, noise, the lifted arm."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from spindlewright.bands.edges import timed
from spindlewright.bands.lines import decibels, dominant_lines
from spindlewright.bands.piece import Piece
from spindlewright.bands.quiet import EDGE_FRAMES, quiet_pieces, quiet_stretches
from spindlewright.bands.tones import tone_pieces
from spindlewright.signal.survey_tracks import SurveyResult

CLEAR_S = 0.02
STEP_CLEAR_S = 0.3


def find_pieces(survey: SurveyResult) -> list[Piece]:
    """All pieces of the side in order of time, with times."""
    tones = tone_pieces(survey)
    taken = np.zeros(survey.frames, dtype=bool)
    for piece in tones:
        taken[piece.first : piece.stop] = True
    loudest = max((float(decibels(p.power)) for p in tones), default=None)
    lines = dominant_lines(survey)
    quiet = quiet_pieces(quiet_stretches(survey, lines, taken), survey, loudest)
    pieces = timed(tones, survey, lines)
    pieces += [_quiet_timed(p, pieces, survey) for p in quiet]
    return sorted(pieces, key=lambda p: p.start_s)


def _quiet_timed(quiet: Piece, tones: list[Piece], survey: SurveyResult) -> Piece:
    """A quiet piece from just after the tone before it to just before the next; 0.3 s clear of a noise step."""
    start, end = quiet.first * survey.frame_s, quiet.stop * survey.frame_s
    before = [t.end_s for t in tones if 0 <= quiet.first - t.stop <= EDGE_FRAMES]
    after = [t.start_s for t in tones if 0 <= t.first - quiet.stop <= EDGE_FRAMES]
    start = before[0] + CLEAR_S if before else start + (STEP_CLEAR_S if quiet.first > 0 else 0.0)
    end = after[0] - CLEAR_S if after else end - (STEP_CLEAR_S if quiet.stop < survey.frames else 0.0)
    return replace(quiet, start_s=start, end_s=end)
