"""All tones and sweeps of a side: from runs in two frequency ranges, without hum, echoes, rumble and music."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.channel_kind import with_dead_channel
from spindlewright.bands.hum_lines import is_hum, near_mains_lines
from spindlewright.bands.lines import Lines, decibels, dominant_lines
from spindlewright.bands.low_lines import low_lines
from spindlewright.bands.mains_hum import BESIDE_LINES, mains_hum
from spindlewright.bands.piece import Piece
from spindlewright.bands.runs import tonal_runs
from spindlewright.bands.steady_tones import is_steady, steady_pieces
from spindlewright.bands.sweeps import gliding_pieces, joined_sweeps
from spindlewright.signal.survey_tracks import SurveyResult

SHORTEST_TONE_S = 0.8
SHORTEST_LOW_TONE_S = 1.5
FAINTEST_DB = 38.0
"""A line this far below the loudest tone is an echo of the next groove, hum or crosstalk, not a band."""
STEADY_LEVEL_DB = 1.5
STEADY_OCTAVES = 0.05
LOWEST_TONE_HZ = 16.0
LOW_OVER_MID_DB = 6.0
LOW_OVERLAP_FRAMES = 2
CHORD_SHARE = 0.25
SMEAR_SEEN_TO = 0.9
SMEAR_WINDOW_S = 4.0
SMEAR_REACH = 0.03


def tone_pieces(survey: SurveyResult, mains_hz: float | None = None) -> list[Piece]:
    """Tones and sweeps in order of time, not overlapping; ``mains_hz`` 50 or 60 where known."""
    lines = dominant_lines(survey)
    found = _from_runs(lines, SHORTEST_TONE_S)
    low = low_lines(survey)
    if low is not None:
        found += [_trimmed(p, survey.frames) for p in _from_runs(low, SHORTEST_LOW_TONE_S) if _stands_out(p, low)]
    if not found:
        return []
    hum = mains_hum(survey, mains_hz=mains_hz)
    found = [p for p in found if not _is_chord(p, survey) and not _is_smear(p, survey)]
    sounds = [p for p in found if hum is None or p.hz is None or p.power > 2.0 * hum.power_at(p.hz)]
    if not sounds:
        return []
    loudest = max(p.power for p in sounds)
    kept = []
    for piece in found:
        track = low if low is not None and piece.hz is not None and piece.hz < survey.mid_from_hz else lines
        if decibels(piece.power) > decibels(loudest) - FAINTEST_DB and not is_hum(piece, track, loudest, hum):
            kept.append(piece)
    separate = _joined(_not_overlapping(kept, survey))
    return with_dead_channel([p for p in separate if not _in_music(p, separate, lines)])


def _from_runs(lines: Lines, shortest_s: float) -> list[Piece]:
    pieces: list[Piece] = []
    for run in tonal_runs(lines):
        if (run.stop - run.first) * lines.frame_s < shortest_s:
            continue
        pieces += steady_pieces(run, lines) if is_steady(run, lines) else gliding_pieces(run, lines)
    return [p for p in pieces if (p.stop - p.first) * lines.frame_s >= shortest_s and _holds_steady(p, lines)]


def _holds_steady(piece: Piece, lines: Lines) -> bool:
    """True unless the line of a would-be tone flutters or dies away like a played note, or wanders like rumble."""
    if piece.kind == "sweep":
        return True
    level = lines.level_db[piece.first : piece.stop]
    low, high = np.percentile(level, (20, 80))
    if high - low > 2 * STEADY_LEVEL_DB or piece.hz is None or piece.hz < LOWEST_TONE_HZ:
        return False
    octave = np.log2(np.maximum(lines.hz[piece.first : piece.stop], 1.0))
    slow, fast = np.percentile(octave, (20, 80))
    return bool(fast - slow < STEADY_OCTAVES)


def _is_chord(piece: Piece, survey: SurveyResult) -> bool:
    """True when more than a quarter of the line's power again is in other lines above the hum: music."""
    if piece.hz is None or piece.hz > survey.mid_to_hz:
        return False
    frames = slice(piece.first, piece.stop)
    rate = survey.slow_rate_hz * survey.frame_s
    slow = survey.slow[:, round(piece.first * rate) : round(piece.stop * rate)]
    total = float(np.median(survey.total[frames].sum(axis=1)))
    below = 2.0 * float((slow.astype(np.float64) ** 2).mean(axis=1).sum())
    noise = float(np.median(survey.mid.floor[frames])) * survey.frame_s * survey.mid_to_hz / 1.5
    # the slow stream fades out about its upper end: there it may or may not hold the line
    rest = total - (max(below, piece.power) if piece.hz < 1.3 * survey.slow_to_hz else below + piece.power)
    return rest > CHORD_SHARE * piece.power and rest > 3.0 * noise


def _is_smear(piece: Piece, survey: SurveyResult) -> bool:
    """True when the short frames saw a line that the slow stream does not hold: strong hum beside smears as far."""
    if piece.hz is None or not survey.mid_from_hz <= piece.hz < SMEAR_SEEN_TO * survey.slow_to_hz:
        return False
    rate = survey.slow_rate_hz
    middle, half = 0.5 * (piece.first + piece.stop) * survey.frame_s, 0.5 * (piece.stop - piece.first) * survey.frame_s
    half = min(half, 0.5 * SMEAR_WINDOW_S)
    slow = survey.slow[:, max(0, round((middle - half) * rate)) : round((middle + half) * rate)].astype(np.float64)
    length = slow.shape[1]
    if length < SHORTEST_TONE_S * rate / 2:
        return False
    window = np.hanning(length + 1)[:-1] * (4.0 / length)
    power = (np.abs(np.fft.rfft(slow * window, axis=1)) ** 2).sum(axis=0) / 1.5
    place = np.arange(power.size) * rate / length
    reach = max(SMEAR_REACH * piece.hz, 3.0 * rate / length)
    return bool(power[np.abs(place - piece.hz) <= reach].sum() < 0.5 * piece.power)


def _trimmed(piece: Piece, frames: int) -> Piece:
    """A low piece without the frames whose long window only reaches into it."""
    first = 0 if piece.first < LOW_OVERLAP_FRAMES else piece.first + LOW_OVERLAP_FRAMES
    stop = frames if frames - piece.stop < LOW_OVERLAP_FRAMES else piece.stop - LOW_OVERLAP_FRAMES
    return replace(piece, first=first, stop=stop)


def _stands_out(piece: Piece, low: Lines) -> bool:
    """True unless a low line is as strong before or after: the motor's rumble and hum go on all the time."""
    power = low.left + low.right
    outside = np.ones(power.size, dtype=bool)
    margin = round(0.4 / low.frame_s)
    outside[max(0, piece.first - margin) : piece.stop + margin] = False
    if np.count_nonzero(outside) * low.frame_s < 1.0 or piece.hz is None:
        return True
    near = outside & (np.abs(low.hz / piece.hz - 1.0) < 0.06) & (power > piece.power / 4.0)
    weaker = outside & (power < piece.power / 4.0)
    return bool(np.count_nonzero(weaker) > np.count_nonzero(near) or np.count_nonzero(weaker) * low.frame_s > 1.0)


def _not_overlapping(pieces: list[Piece], survey: SurveyResult) -> list[Piece]:
    """Of pieces at one time the strongest stays; low ones must be 6 dB stronger than what they cover."""
    handicap = 10.0 ** (LOW_OVER_MID_DB / 10.0)

    def strength(piece: Piece) -> float:
        hz = piece.hz or max(piece.from_hz or 0.0, piece.to_hz or 0.0)
        return piece.power / (handicap if hz < survey.mid_from_hz else 1.0)

    free = np.ones(survey.frames, dtype=bool)
    kept: list[Piece] = []
    for piece in sorted(pieces, key=strength, reverse=True):
        own = free[piece.first : piece.stop]
        if np.count_nonzero(own) < 0.7 * own.size:
            continue
        inside = np.flatnonzero(own)
        kept.append(replace(piece, first=piece.first + int(inside[0]), stop=piece.first + int(inside[-1]) + 1))
        free[piece.first : piece.stop] = False
    return sorted(kept, key=lambda p: p.first)


def _joined(pieces: list[Piece]) -> list[Piece]:
    """Sweeps met from below and above 150 Hz become one."""
    out: list[Piece] = []
    for piece in pieces:
        both = joined_sweeps(out[-1], piece) if out else None
        if both is not None:
            out[-1] = both
        else:
            out.append(piece)
    return out


def _in_music(piece: Piece, pieces: list[Piece], lines: Lines) -> bool:
    """True for a held note: what surrounds it is loud but belongs to no band."""
    reach = round(2.0 / lines.frame_s)
    first, stop = max(0, piece.first - reach), min(lines.hz.size, piece.stop + reach)
    loose: NDArray[np.bool_] = np.ones(stop - first, dtype=bool)
    for other in pieces:
        low, high = max(first, other.first - 2), min(stop, other.stop + 2)
        if low < high:
            loose[low - first : high - first] = False
    around = stop - first - min(piece.stop, stop) + max(piece.first, first)
    loud = lines.level_db[first:stop] > float(decibels(piece.power)) - 20.0
    loud &= ~near_mains_lines(lines.hz[first:stop], BESIDE_LINES)
    return around > reach // 2 and bool(np.count_nonzero(loose & loud) > 0.5 * around)
