"""How the two channels came out over the whole side: the right way round, one upside down, or exchanged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from spindlewright.bands.band import Band

Polarity = Literal["known", "assumed", "inverted", "swapped"]


@dataclass(frozen=True, slots=True)
class ChannelsFound:
    """``certain`` when a layout says so; ``evidence`` the bands (indexes) behind it."""

    polarity: Polarity
    certain: bool
    evidence: tuple[int, ...]


def judge_channels(bands: Sequence[Band]) -> ChannelsFound:
    """Polarity of the side from its tone bands as found, with the layout's bands where they matched.

    Without a layout: most both-channel tones opposite means one channel is upside down; a right-only band before
    the left-only band of its kind makes exchanged channels a suspicion, since discs put left first (common
    practice, no source).
    """
    laid_out = [b for b in bands if b.cut is not None and b.kind in ("tone", "vertical", "left", "right")]
    single = [b for b in laid_out if b.cut and b.cut.kind in ("left", "right") and b.kind in ("left", "right")]
    crossed = [b for b in single if b.cut and b.kind != b.cut.kind]
    if crossed and len(crossed) > len(single) / 2:
        return ChannelsFound("swapped", True, tuple(b.index for b in crossed))
    double = [b for b in laid_out if b.cut and b.cut.kind in ("tone", "vertical") and b.kind in ("tone", "vertical")]
    upside_down = [b for b in double if b.cut and b.kind != b.cut.kind]
    if upside_down and len(upside_down) > len(double) / 2:
        return ChannelsFound("inverted", True, tuple(b.index for b in upside_down))
    if double:
        return ChannelsFound("known", True, tuple(b.index for b in double))
    both = [b for b in bands if b.cut is None and b.kind in ("tone", "vertical") and b.right_phase_deg is not None]
    vertical = [b for b in both if b.kind == "vertical"]
    if len(vertical) > len(both) / 2:
        return ChannelsFound("inverted", False, tuple(b.index for b in vertical))
    if not single:
        order = [b for b in bands if b.kind in ("left", "right") and b.frequency_hz]
        if order and order[0].kind == "right" and _partner(order[0], order[1:]):
            return ChannelsFound("swapped", False, tuple(b.index for b in order))
    return ChannelsFound("known" if both else "assumed", False, tuple(b.index for b in both))


def with_kinds(bands: Sequence[Band], channels: ChannelsFound) -> tuple[Band, ...]:
    """Kinds as they were cut. When all tones look vertical, or a layout says so, one channel is upside down: they are
    tones (and what looks like a tone is vertical). When only most do, and no layout tells, the kinds stay as found.
    """
    if channels.polarity != "inverted":
        return tuple(_as_laid_out(band) for band in bands)
    if not channels.certain and any(b.kind == "tone" and b.right_phase_deg is not None for b in bands):
        return tuple(bands)
    turned = {"vertical": "tone"} if not channels.certain else {"vertical": "tone", "tone": "vertical"}
    return tuple(
        _as_laid_out(band if band.right_phase_deg is None else replace(band, kind=turned.get(band.kind, band.kind)))  # type: ignore[arg-type]
        for band in bands
    )


def _as_laid_out(band: Band) -> Band:
    if band.cut is not None and band.cut.kind in ("tone", "vertical") and band.kind in ("tone", "vertical"):
        return replace(band, kind=band.cut.kind)
    return band


def _partner(band: Band, others: Sequence[Band]) -> bool:
    """True when a left-only band of the same frequency follows."""
    assert band.frequency_hz is not None
    return any(
        b.kind == "left" and b.frequency_hz and abs(b.frequency_hz / band.frequency_hz - 1.0) < 0.06 for b in others
    )
