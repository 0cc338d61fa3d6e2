"""Where a band begins and ends: from the 5 ms envelope, or from how much of the outermost frame its line fills."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.lines import Lines
from spindlewright.bands.low_edges import low_edge
from spindlewright.bands.piece import Piece
from spindlewright.signal.survey import MID_FROM_HZ
from spindlewright.signal.survey_tracks import SurveyResult

REACH_FRAMES = 3
CLEAR_RATIO = 3.0
LOW_STEPS = 3

_FILLED = np.linspace(0.0, 1.0, 201)
_AMPLITUDE = _FILLED - np.sin(2 * np.pi * _FILLED) / (2 * np.pi)
"""Amplitude of a line that fills a Hann-windowed frame up to a point: the running integral of the window."""


def timed(pieces: list[Piece], survey: SurveyResult, lines: Lines) -> list[Piece]:
    """Tones and sweeps with start and end in seconds; neighbours without a gap share the time between them.

    Good to 5 ms where the level changes by more than 5 dB or (below about 4 kHz) the frequency changes.
    """
    envelopes = _Envelopes(survey)
    edges: list[tuple[float | None, float | None]] = []
    for index, piece in enumerate(pieces):
        before = pieces[index - 1] if index else None
        after = pieces[index + 1] if index + 1 < len(pieces) else None
        edges.append((envelopes.change(piece, +1, before), envelopes.change(piece, -1, after)))
    out = []
    for piece, (rise, fall) in zip(pieces, edges, strict=True):
        start = _filled_from(piece, lines) if rise is None else rise
        end = _filled_to(piece, lines) if fall is None else fall
        out.append(replace(piece, start_s=start, end_s=min(max(end, start), survey.duration_s)))
    for index in range(len(out) - 1):
        here, following = out[index], out[index + 1]
        blurred = max(1, 2 * (_is_low(here) + _is_low(following)))
        unseen = edges[index][1] is None or edges[index + 1][0] is None
        touching = unseen and pieces[index + 1].first - pieces[index].stop <= blurred
        if here.end_s > following.start_s or touching:
            meet = _meeting(here, following, edges[index][1], edges[index + 1][0], lines)
            out[index] = replace(here, end_s=meet)
            out[index + 1] = replace(following, start_s=meet)
    return out


class _Envelopes:
    """The power track in which a band's edges show, by its frequency."""

    def __init__(self, survey: SurveyResult) -> None:
        self._survey = survey
        self._steps = round(survey.frame_s / survey.envelope_s)

    def change(self, piece: Piece, inward: int, neighbour: Piece | None) -> float | None:
        """Time in s at which the power rises to (falls from) the band's level; None when it does not by 5 dB."""
        if _is_low(piece):
            return low_edge(piece, inward, self._survey)
        envelope = self._of(piece, inward)
        first, stop = piece.first * self._steps, piece.stop * self._steps
        at = first if inward > 0 else stop
        reach = outward = REACH_FRAMES * self._steps
        if neighbour is not None:
            gap = piece.first - neighbour.stop if inward > 0 else neighbour.first - piece.stop
            if _is_low(neighbour) and gap <= REACH_FRAMES:
                return None  # its power within 5 ms goes up and down: its own edge is the better one
            outward = min(reach, max(2, gap + 2) * self._steps)
        index = _change(envelope, at, inward, stop - first, outward, reach)
        return None if index is None else index * self._survey.envelope_s

    def _of(self, piece: Piece, inward: int) -> NDArray[np.floating]:
        survey = self._survey
        hz = piece.hz or (piece.from_hz if inward > 0 else piece.to_hz) or 1000.0
        if hz > survey.mid_to_hz and survey.high_envelope is not None:
            return survey.high_envelope
        return survey.envelope


def _change(envelope: NDArray[np.floating], at: int, inward: int, length: int, outward: int, reach: int) -> int | None:
    """Step index near ``at`` outside of which the power stays low for 15 ms; None when it nowhere falls by 5 dB.

    Searched from inside outwards, so that what lies beyond a short gap does not count.
    """
    inner = min(reach, max(1, length // 2))
    low, high = (at - outward, at + inner) if inward > 0 else (at - inner, at + outward)
    low, high = max(0, low), min(envelope.size, high)
    part = np.asarray(envelope[low:high], dtype=np.float64)
    inside = envelope[at : at + inner] if inward > 0 else envelope[max(0, at - inner) : at]
    if part.size < 4 or not inside.size or (inward > 0 and at <= 0):
        return None
    level = float(np.median(inside))
    from_inside = part[::-1] if inward > 0 else part
    held = np.lib.stride_tricks.sliding_window_view(np.append(from_inside, from_inside[-1:].repeat(2)), LOW_STEPS)
    # the loudest of three steps: low only where all of them are
    loudest = held.max(axis=1)[: part.size]
    outside = float(loudest.min())
    if level < CLEAR_RATIO * outside:
        return None
    under = np.flatnonzero(loudest < outside + 0.35 * (level - outside))
    under = under[under >= min(inner, LOW_STEPS)] if under.size else under
    if not under.size:
        return None
    return high - int(under[0]) if inward > 0 else low + int(under[0])


def _is_low(piece: Piece) -> bool:
    return piece.hz is not None and piece.hz < MID_FROM_HZ


def _share(piece: Piece, frame: int, lines: Lines) -> float | None:
    """Share of a frame that the piece's line fills, 0 to 1; None where only a short or a long window saw it."""
    if piece.hz is None or piece.hz < MID_FROM_HZ or not 0 <= frame < lines.hz.size or lines.high[frame]:
        return None
    if abs(lines.hz[frame] / piece.hz - 1.0) > 0.05:
        return 0.0
    amplitude = np.sqrt((lines.left[frame] + lines.right[frame]) / piece.power)
    return 1.0 if amplitude > 0.985 else float(np.interp(amplitude, _AMPLITUDE, _FILLED))


def _filled_from(piece: Piece, lines: Lines) -> float:
    share = _share(piece, piece.first, lines)
    return (piece.first + (0.0 if share is None else 1.0 - share)) * lines.frame_s


def _filled_to(piece: Piece, lines: Lines) -> float:
    share = _share(piece, piece.stop - 1, lines)
    return (piece.stop - (0.0 if share is None else 1.0 - share)) * lines.frame_s


def _meeting(a: Piece, b: Piece, fall: float | None, rise: float | None, lines: Lines) -> float:
    """Where one band turns into the next: where one was seen to change, else from the frame that both share."""
    if (fall is None) != (rise is None):
        return fall if rise is None and fall is not None else rise or 0.0
    share_a, share_b = _share(a, a.stop - 1, lines), _share(b, b.first, lines)
    if share_a is None and share_b is None:
        return (a.end_s + b.start_s) / 2
    if share_b is None or (share_a is not None and share_a < share_b):
        return a.end_s if share_a in (None, 1.0) else (a.stop - 1 + (share_a or 0.0)) * lines.frame_s
    return b.start_s if share_b == 1.0 else (b.first + 1 - share_b) * lines.frame_s
