"""Finding the bands of a side in its survey: tones, single-channel tones, sweeps, silence, noise, the lifted arm."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.edges import timed
from spindlewright.bands.finding import Finding
from spindlewright.bands.hum_lines import near_mains_lines
from spindlewright.bands.lines import Lines, decibels, dominant_lines
from spindlewright.bands.mains_hum import BESIDE_LINES, MainsHum, mains_hum
from spindlewright.bands.piece import Piece
from spindlewright.bands.quiet import EDGE_FRAMES, SHORTEST_SILENCE_S, quiet_pieces, quiet_stretches
from spindlewright.bands.ticks_found import once_per_turn, ticks_in_quiet
from spindlewright.bands.tones import tone_pieces
from spindlewright.signal.survey_tracks import SurveyResult

CLEAR_S = 0.02
STEP_CLEAR_S = 0.3
MUSIC_S = 5.0


@dataclass(frozen=True, slots=True)
class Found:
    """Pieces in order of time (gaps among them as short ``silence``), findings, mains lines in the quiet parts.

    ``clock_ratio`` is what a wrong declared sample rate makes of every frequency, 1 when the hum shows none.
    """

    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]
    lines: Lines
    hum: MainsHum | None
    clock_ratio: float


def find_pieces(survey: SurveyResult, rpm: float, mains_hz: float | None = None) -> Found:
    """All pieces of the side with times; a quiet stretch after the last tone that ticks once a turn is the run-out.

    ``mains_hz`` is 50 or 60 where known.
    """
    tones = tone_pieces(survey, mains_hz)
    taken = np.zeros(survey.frames, dtype=bool)
    for piece in tones:
        taken[piece.first : piece.stop] = True
    loudest = max((float(decibels(p.power)) for p in tones), default=None)
    lines = dominant_lines(survey)
    music = _loud_and_tonal(lines, taken, loudest)
    quiet = quiet_pieces(quiet_stretches(survey, lines, taken), survey, loudest, music)
    pieces = timed(tones, survey, lines)
    pieces += [_quiet_timed(p, pieces, survey) for p in quiet]
    pieces.sort(key=lambda p: p.start_s)
    pieces = _with_run_out(pieces, survey)
    hum = mains_hum(survey, quiet, mains_hz)
    findings = _doubtful_silence(pieces, survey) + _programme(music, survey.frame_s)
    return Found(tuple(pieces), tuple(findings), lines, hum, hum.clock_ratio if hum else 1.0)


def _with_run_out(pieces: list[Piece], survey: SurveyResult) -> list[Piece]:
    """Silence after the last band that ticks once per turn is the run-out groove, from its first tick on."""
    last = max((i for i, p in enumerate(pieces) if p.kind not in ("silence", "lifted")), default=-1)
    out = pieces[: last + 1]
    for piece in pieces[last + 1 :]:
        turns = None
        if piece.kind == "silence" and piece.end_s - piece.start_s >= SHORTEST_SILENCE_S:
            turns = once_per_turn(ticks_in_quiet(survey, piece.start_s, piece.end_s), piece.end_s)
        if turns is None:
            out.append(piece)
            continue
        begin_s = max(piece.start_s, turns.from_s - CLEAR_S)
        if begin_s - piece.start_s >= SHORTEST_SILENCE_S:
            out.append(replace(piece, end_s=begin_s, stop=round(begin_s / survey.frame_s)))
        else:
            begin_s = max(piece.start_s, min(begin_s, turns.from_s - 0.5 / turns.rate_hz))
        out.append(replace(piece, kind="run_out", start_s=begin_s, first=round(begin_s / survey.frame_s)))
    return out


def _doubtful_silence(pieces: list[Piece], survey: SurveyResult) -> list[Finding]:
    """Silence of exact zeros: neither groove nor lifted arm, but nothing recorded."""
    found = []
    for piece in pieces:
        if piece.kind == "silence" and piece.power <= 1e-14 and piece.end_s - piece.start_s >= SHORTEST_SILENCE_S:
            text = (
                f"From {piece.start_s:.1f} s to {piece.end_s:.1f} s the recording holds nothing at all: taken for a "
                "silent groove, though a muted input or an edited recording is more likely."
            )
            evidence = {"start_s": round(piece.start_s, 2), "end_s": round(piece.end_s, 2)}
            found.append(Finding("nothing_recorded", text, evidence))
    return found


def _loud_and_tonal(lines: Lines, taken: NDArray[np.bool_], loudest: float | None) -> NDArray[np.bool_]:
    """Frames with a strong line that belongs to no band and is no hum."""
    level = loudest if loudest is not None else -20.0
    loud = ~taken & (lines.level_db > max(level - 25.0, -55.0)) & lines.tonal
    loud &= ~near_mains_lines(lines.hz, BESIDE_LINES)
    return np.asarray(loud, dtype=bool)


def _programme(music: NDArray[np.bool_], frame_s: float) -> list[Finding]:
    """Stretches of at least 5 s that are loud, tonal and steady in nothing: programme, not test bands."""
    width = round(MUSIC_S / frame_s)
    if music.size < width or not music.any():
        return []
    share = np.convolve(music, np.ones(width) / width, mode="same")
    frames = np.flatnonzero(share > 0.6)
    if not frames.size:
        return []
    start, end = round(float(frames[0]) * frame_s, 1), round(float(frames[-1] + 1) * frame_s, 1)
    text = f"Between {start:.0f} s and {end:.0f} s there is something like music; it is not used."
    return [Finding("programme", text, {"start_s": start, "end_s": end})]


def _quiet_timed(quiet: Piece, tones: list[Piece], survey: SurveyResult) -> Piece:
    """A quiet piece from just after the tone before it to just before the next; 0.3 s clear of a noise step."""
    start, end = quiet.first * survey.frame_s, quiet.stop * survey.frame_s
    before = [t.end_s for t in tones if 0 <= quiet.first - t.stop <= EDGE_FRAMES]
    after = [t.start_s for t in tones if 0 <= t.first - quiet.stop <= EDGE_FRAMES]
    start = before[0] + CLEAR_S if before else start + (STEP_CLEAR_S if quiet.first > 0 else 0.0)
    end = after[0] - CLEAR_S if after else end - (STEP_CLEAR_S if quiet.stop < survey.frames else 0.0)
    return replace(quiet, start_s=start, end_s=end)
