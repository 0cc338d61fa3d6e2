"""Telling mains hum from a tone: hum stands at a mains line, is faint, and never begins or ends by itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.lines import Lines, decibels
from spindlewright.bands.mains_hum import BESIDE_LINES, MainsHum
from spindlewright.bands.piece import Piece

MAINS_HZ = (50.0, 60.0)
HIGHEST_ORDER = 20
FAINT_DB = -32.0
BELOW_LOUDEST_DB = 20.0
NEAR = 0.006
LONE_LINE_HZ = 190.0
"""Hum of one line only is the mains itself or its second or third order."""
MOST_OVER_OTHERS = 10.0
"""Power of one line of buzz over the strongest of the first orders."""
BUZZ_TO_HZ = 650.0
ABSENT_SHARE = 0.02
ELSEWHERE_S = 0.5


def near_mains_lines(hz: NDArray[np.float64], near_share: float = NEAR) -> NDArray[np.bool_]:
    """True where within 0.6 % (or another share) of a line of 50 or 60 Hz mains, orders 1 to 20."""
    near = np.zeros(hz.shape, dtype=bool)
    for mains in MAINS_HZ:
        order = np.round(hz / mains)
        inside = (order >= 1) & (order <= HIGHEST_ORDER)
        near |= inside & (np.abs(hz - order * mains) < near_share * hz)
    return near


def is_hum(piece: Piece, lines: Lines, loudest: float, hum: MainsHum | None) -> bool:
    """True when a steady line is hum that shows because nothing louder covers it.

    It is when the comb of mains lines of the whole side has a line of this strength there, or when it goes on all
    through the side wherever nothing louder covers it. Else a tone of the disc ends in a gap; hum only ends where a
    louder sound covers it, or with the recording.
    """
    if piece.hz is None:
        return False
    level_db, loudest_db = float(decibels(piece.power)), float(decibels(loudest))
    faint = level_db < loudest_db - BELOW_LOUDEST_DB
    if hum is not None:
        line = hum.power_at(piece.hz)
        if line > 0.0 and (faint or piece.power < 2.0 * line):
            return True
        beside = piece.hz < BUZZ_TO_HZ and bool(near_mains_lines(np.array([piece.hz]), BESIDE_LINES)[0])
        if beside and piece.power < MOST_OVER_OTHERS * max(hum.powers) and _goes_on(piece, lines):
            return True
        if not faint and piece.power > max(hum.powers):
            return False  # no order of hum is stronger than all the first ones
    elif not faint and piece.hz > LONE_LINE_HZ:
        return False
    if not near_mains_lines(np.array([piece.hz]))[0] or (level_db > FAINT_DB and not faint):
        return False
    reach = round(0.5 / lines.frame_s)
    power = lines.left + lines.right
    for around in (power[max(0, piece.first - reach) : piece.first], power[piece.stop : piece.stop + reach]):
        if np.count_nonzero(around < piece.power / 4.0) >= 4:
            return False
    return True


def _goes_on(piece: Piece, lines: Lines) -> bool:
    """True when the line is there in every frame of the side that holds nothing louder, and not in this piece only."""
    assert piece.hz is not None
    power = lines.left + lines.right
    present = (np.abs(lines.hz / piece.hz - 1.0) < 2 * BESIDE_LINES) & (power > piece.power / 4.0)
    present &= power < 4.0 * piece.power
    louder = ~present & (power > 2.0 * piece.power)
    if np.count_nonzero(~present & ~louder) > ABSENT_SHARE * power.size:
        return False
    present[piece.first : piece.stop] = False
    return bool(np.count_nonzero(present) * lines.frame_s > ELSEWHERE_S)
