"""Matching what was found to what the disc layout says, in order, at one common speed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from spindlewright.bands.band import TONE_KINDS, LayoutBand
from spindlewright.bands.layout import Layout
from spindlewright.bands.nominals import COMMON_SPREAD, SpeedsTurned, speeds_turned
from spindlewright.bands.piece import Piece

MISSING_TONE, EXTRA_TONE = 2.0, 2.5
MISSING_QUIET, EXTRA_QUIET, EXTRA_GAP = 0.6, 0.5, 0.0
SWEEP_END_RATIO = 1.35
SPEED_COST_PER_PERCENT = 0.1
OTHER_SPEED_COST = 1.0
IMPOSSIBLE = math.inf
SHORTEST_SILENCE_S = 5.0


@dataclass(frozen=True, slots=True)
class Match:
    """``cut`` per piece, None where the layout has none for it; the common speed; the disc's and the deck's speed."""

    cut: tuple[LayoutBand | None, ...]
    speed_ratio: float
    turned: SpeedsTurned


def match_layout(pieces: Sequence[Piece], layout: Layout, rpm: float) -> Match | None:
    """Order-keeping assignment of least cost over all common speeds within ±6 % (of each platter speed), or
    ±3 % of what the pulley of the other mains makes of it.

    Missing and extra bands are allowed. Gaps may be among the pieces as short ``silence``: they cost nothing when
    left over, and become a silent band when the layout has one there. None when fewer than half of the tones meet:
    then it is another disc.
    """
    best: tuple[float, list[LayoutBand | None], float, SpeedsTurned] | None = None
    for turned, ratio in _speeds(pieces, layout, rpm):
        cost, cut = _assign(pieces, layout.bands, ratio)
        cost += SPEED_COST_PER_PERCENT * 100.0 * abs(ratio / turned.ratio - 1.0)
        cost += OTHER_SPEED_COST if turned.ratio != 1.0 else 0.0
        if best is None or cost < best[0] - 1e-9:
            best = (cost, cut, ratio, turned)
    assert best is not None
    _, cut, ratio, turned = best
    if not _fits(pieces, cut, layout, turned):
        return None
    pairs = [
        (p.hz / c.nominal_hz, p.stop - p.first)
        for p, c in zip(pieces, cut, strict=True)
        if c is not None and p.hz and c.nominal_hz and c.kind in TONE_KINDS
    ]
    weight = sum(w for _, w in pairs)
    mean = sum(r * w for r, w in pairs) / weight if weight else ratio
    return Match(tuple(cut), mean, turned)


def _fits(pieces: Sequence[Piece], cut: Sequence[LayoutBand | None], layout: Layout, turned: SpeedsTurned) -> bool:
    """At least half of the tones found, or of those in the layout, have met; more than half at a wrong speed."""
    met = sum(c is not None and p.hz is not None for p, c in zip(pieces, cut, strict=True))
    tones = sum(p.hz is not None for p in pieces)
    half = 0.5 * min(tones, sum(b.kind in TONE_KINDS for b in layout.bands))
    return met >= half if turned.ratio == 1.0 else met > half


def _speeds(pieces: Sequence[Piece], layout: Layout, rpm: float) -> list[tuple[SpeedsTurned, float]]:
    """The most promising speeds: ratios of found to nominal that many pairs share; and no error at all."""
    found = [p.hz for p in pieces if p.hz]
    nominal = [b.nominal_hz for b in layout.bands if b.kind in TONE_KINDS and b.nominal_hz]
    speeds = [(SpeedsTurned(rpm, rpm), 1.0)]
    for turned in speeds_turned(rpm):
        base = turned.ratio
        largest = turned.largest_error + 0.003
        ratios = sorted(f / n for f in found for n in nominal if abs(f / n / base - 1.0) <= largest)
        votes = [(sum(abs(r / other - 1.0) < COMMON_SPREAD for other in ratios), r) for r in ratios]
        chosen: list[float] = []
        for _, ratio in sorted(votes, key=lambda v: (-v[0], abs(v[1] / base - 1.0))):
            if len(chosen) < 4 and all(abs(ratio / c - 1.0) > COMMON_SPREAD for c in chosen):
                chosen.append(ratio)
        speeds += [(turned, ratio) for ratio in chosen]
    return speeds


def _assign(
    pieces: Sequence[Piece], bands: Sequence[LayoutBand], ratio: float
) -> tuple[float, list[LayoutBand | None]]:
    """Least cost by dynamic programming; row i, column j: the first i pieces against the first j bands."""
    rows, columns = len(pieces), len(bands)
    cost = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    for j, band in enumerate(bands):
        cost[0][j + 1] = cost[0][j] + _missing(band)
    for i, piece in enumerate(pieces):
        cost[i + 1][0] = cost[i][0] + _extra(piece)
        for j, band in enumerate(bands):
            cost[i + 1][j + 1] = min(
                cost[i][j] + _pair(piece, band, ratio),
                cost[i][j + 1] + _extra(piece),
                cost[i + 1][j] + _missing(band),
            )
    cut: list[LayoutBand | None] = [None] * rows
    i, j = rows, columns
    while i and j:
        here = cost[i][j]
        if here == cost[i - 1][j - 1] + _pair(pieces[i - 1], bands[j - 1], ratio):
            i, j = i - 1, j - 1
            cut[i] = bands[j]
        elif here == cost[i - 1][j] + _extra(pieces[i - 1]):
            i -= 1
        else:
            j -= 1
    return cost[rows][columns], cut


def _missing(band: LayoutBand) -> float:
    return MISSING_TONE if band.kind in TONE_KINDS or band.kind == "sweep" else MISSING_QUIET


def _extra(piece: Piece) -> float:
    if piece.kind in TONE_KINDS or piece.kind == "sweep":
        return EXTRA_TONE
    return EXTRA_GAP if piece.end_s - piece.start_s < SHORTEST_SILENCE_S else EXTRA_QUIET


def _pair(piece: Piece, band: LayoutBand, ratio: float) -> float:
    """What taking ``piece`` for ``band`` costs."""
    cost = _duration_cost(piece, band)
    if band.kind in TONE_KINDS:
        if piece.hz is None or band.nominal_hz is None:
            return IMPOSSIBLE
        apart = abs(piece.hz / ratio / band.nominal_hz - 1.0)
        if apart > 2 * COMMON_SPREAD:
            return IMPOSSIBLE
        return cost + 50.0 * apart + _kind_cost(piece.kind, band.kind)
    if band.kind == "sweep":
        if piece.kind != "sweep" or not (piece.from_hz and piece.to_hz and band.nominal_hz and band.to_hz):
            return IMPOSSIBLE
        upward = (piece.to_hz - piece.from_hz) * (band.to_hz - band.nominal_hz) > 0
        ends = [piece.from_hz / ratio / band.nominal_hz, piece.to_hz / ratio / band.to_hz]
        off = sum(max(0.0, abs(math.log(e)) - math.log(SWEEP_END_RATIO)) for e in ends)
        return cost + 0.5 * off if upward and off < 2.0 else IMPOSSIBLE
    if piece.kind in TONE_KINDS or piece.kind == "sweep":
        return IMPOSSIBLE
    return cost + (0.0 if piece.kind == band.kind else 0.1)


def _kind_cost(found: str, cut: str) -> float:
    if found == cut:
        return 0.0
    pair = {found, cut}
    if pair == {"tone", "vertical"}:
        return 0.3
    return 0.8 if pair == {"left", "right"} else 1.2


def _duration_cost(piece: Piece, band: LayoutBand) -> float:
    length = piece.end_s - piece.start_s
    if band.duration_s is None or length <= 0:
        return 0.2
    return min(1.5, 0.8 * abs(math.log(length / band.duration_s)))
