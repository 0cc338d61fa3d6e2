"""Where a band begins and ends, from the 5 ms envelope."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.piece import Piece
from spindlewright.signal.survey_tracks import SurveyResult

REACH_FRAMES = 3
CLEAR_RATIO = 2.0


def with_times(piece: Piece, survey: SurveyResult) -> Piece:
    """Start and end of a piece in seconds, to 5 ms where the level changes there by more than 3 dB.

    Elsewhere (a change of frequency at one level, without a gap) to half a frame.
    """
    envelope: NDArray[np.floating] = survey.envelope
    if piece.hz is not None and piece.hz > survey.mid_to_hz and survey.high_envelope is not None:
        envelope = survey.high_envelope
    steps = round(survey.frame_s / survey.envelope_s)
    first, stop = piece.first * steps, piece.stop * steps
    rise = _change(envelope, first, +1, stop - first, REACH_FRAMES * steps)
    fall = _change(envelope, stop, -1, stop - first, REACH_FRAMES * steps)
    return replace(piece, start_s=rise * survey.envelope_s, end_s=fall * survey.envelope_s)


def _change(envelope: NDArray[np.floating], at: int, inward: int, length: int, reach: int) -> int:
    """Step index near ``at`` at which the envelope changes from outside to inside level."""
    inside_reach = min(reach, max(1, length // 2))
    low, high = (at - reach, at + inside_reach) if inward > 0 else (at - inside_reach, at + reach)
    low, high = max(0, low), min(envelope.size, high)
    part = np.asarray(envelope[low:high], dtype=np.float64)
    if part.size < 4:
        return at
    if inward < 0:
        part = part[::-1]
    span = min(reach, max(2, length // 2))
    inside = envelope[at : at + span] if inward > 0 else envelope[max(0, at - span) : at]
    level = float(np.median(inside)) if inside.size else 0.0
    outside = float(np.percentile(part[: part.size // 2], 20))
    if level < CLEAR_RATIO * outside:
        return at
    over = part >= outside + 0.25 * (level - outside)
    # the cut that leaves most steps on their right side: a tick outside or a dip inside moves nothing
    score = np.concatenate(([0], np.cumsum(~over))) + np.concatenate((np.cumsum(over[::-1])[::-1], [0]))
    cut = int(np.argmax(score))
    return low + cut if inward > 0 else high - cut
