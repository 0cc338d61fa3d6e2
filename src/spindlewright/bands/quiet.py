"""What lies between the tones: silent grooves, noise bands, the lifted arm; the rest is a gap."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.level_steps import step_places
from spindlewright.bands.lines import Lines, decibels
from spindlewright.bands.piece import Piece
from spindlewright.signal.survey_tracks import SurveyResult

SHORTEST_SILENCE_S = 5.0
LIFTED_DROP_DB = 10.0
NOISE_BELOW_TONE_DB = 26.0
EDGE_FRAMES = 2
STEADY_NOISE_DB = 6.0
MUSIC_SHARE = 0.25
NOTHING_DB = -140.0


@dataclass(frozen=True, slots=True)
class Quiet:
    """One stretch without a tone: frames, noise level in dB, strongest line in dB (both channels, 0: full scale)."""

    first: int
    stop: int
    noise_db: float
    line_db: float
    unsteady_db: float


def noise_track(survey: SurveyResult) -> NDArray[np.float64]:
    """Broadband noise per frame in dB, lines and hum left out, ticks taken out by a median over half a second."""
    bins = (survey.mid_to_hz - survey.mid_from_hz) * survey.frame_s
    floor = decibels(survey.mid.floor * (bins / 1.5))
    if floor.size < 11:
        return floor
    padded = np.pad(floor, 5, mode="edge")
    return np.median(np.lib.stride_tricks.sliding_window_view(padded, 11), axis=1)


def quiet_stretches(survey: SurveyResult, lines: Lines, taken: NDArray[np.bool_]) -> list[Quiet]:
    """Stretches of frames not ``taken`` by tones, parted where the noise steps by 8 dB or more."""
    noise = noise_track(survey)
    line_db = lines.level_db
    edges = np.flatnonzero(np.diff(np.concatenate(([True], taken, [True])).astype(np.int8)))
    found = []
    for begin, end in zip(edges[0::2].tolist(), edges[1::2].tolist(), strict=True):
        first = begin if begin == 0 else begin + EDGE_FRAMES
        stop = end if end == taken.size else end - EDGE_FRAMES
        if stop - first < 4:
            continue
        cuts = [0, *step_places(noise[first:stop], survey.frame_s, step_db=8.0), stop - first]
        for low, high in pairwise(cuts):
            part = slice(first + low, first + high)
            spread = np.percentile(noise[part], (10, 50, 90))
            found.append(
                Quiet(
                    first + low,
                    first + high,
                    float(spread[1]),
                    float(np.median(line_db[part])),
                    float(spread[2] - spread[0]),
                )
            )
    return found


def quiet_pieces(
    stretches: list[Quiet], survey: SurveyResult, loudest_db: float | None, music: NDArray[np.bool_]
) -> list[Piece]:
    """Silence, noise and lifted pieces. ``loudest_db`` is the loudest tone of the side.

    Where ``music`` frames are more than a quarter nothing is listed.

    Gaps are among them as short ``silence``: a layout may know them as silent bands.
    """
    loud = -15.0 if loudest_db is None else loudest_db
    limit = max(loud - NOISE_BELOW_TONE_DB, -60.0)
    calm = [q for q in stretches if q.noise_db < limit]
    groove = _groove_noise(calm)
    pieces = []
    for q in stretches:
        if np.mean(music[q.first : q.stop]) > MUSIC_SHARE:
            continue
        long_enough = (q.stop - q.first) * survey.frame_s >= SHORTEST_SILENCE_S - 2 * EDGE_FRAMES * survey.frame_s
        left, right = (float(np.median(survey.total[q.first : q.stop, c])) for c in range(2))
        if q.noise_db >= limit:
            if long_enough and q.unsteady_db < STEADY_NOISE_DB:
                pieces.append(Piece(q.first, q.stop, "noise", left, right))
            continue
        lifted = groove is not None and q.noise_db < groove - LIFTED_DROP_DB and q.noise_db > NOTHING_DB
        pieces.append(Piece(q.first, q.stop, "lifted" if lifted and long_enough else "silence", left, right))
    return pieces


def _groove_noise(calm: list[Quiet]) -> float | None:
    """Noise of the groove: the typical level of what is more than 10 dB over the quietest stretch, if anything is."""
    levels = np.array([q.noise_db for q in calm if q.noise_db > NOTHING_DB])
    if levels.size < 2:
        return None
    louder = levels[levels > levels.min() + LIFTED_DROP_DB]
    return float(np.median(louder)) if louder.size else None
