"""Bands that come out otherwise than their layout says they are cut."""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.bands.channels_found import ChannelsFound
from spindlewright.bands.finding import Finding

_OTHER_WALL = {"left": "right", "right": "left"}
_UPSIDE_DOWN = {"tone": "vertical", "vertical": "tone"}
_CUT = {"tone": "lateral", "vertical": "vertical", "left": "in the left wall only", "right": "in the right wall only"}
_HEARD = {
    "tone": "from both channels in phase",
    "vertical": "opposite in the two channels",
    "left": "from the left channel only",
    "right": "from the right channel only",
}


def not_as_laid_out(bands: Sequence[Band], channels: ChannelsFound) -> tuple[Finding, ...]:
    """A finding for each tone band (kinds as found) that the layout cuts in another direction.

    Exchanged or reversed channels are taken into account: what they explain is no finding of its own. A band of one
    wall that comes out of both channels is left to the fitness code ``mono``.
    """
    found = []
    for band in bands:
        if band.cut is None or band.cut.kind not in TONE_KINDS or band.kind not in TONE_KINDS:
            continue
        expected: str = band.cut.kind
        if channels.certain and channels.polarity == "swapped":
            expected = _OTHER_WALL.get(expected, expected)
        if channels.polarity == "inverted":
            expected = _UPSIDE_DOWN.get(expected, expected)
        told = band.right_phase_deg is not None or band.kind in _OTHER_WALL
        if band.kind == expected or (expected in _OTHER_WALL and band.kind not in _OTHER_WALL) or not told:
            continue
        text = (
            f"Band {band.index} ({band.cut.name}) is cut {_CUT[band.cut.kind]} by the layout, but it comes out "
            f"{_HEARD[band.kind]}. Look at the disc's own notes: is it this disc and side, or is the layout wrong?"
        )
        evidence = {"laid_out": band.cut.kind, "found": band.kind, "right_phase_deg": band.right_phase_deg}
        found.append(Finding("not_as_laid_out", text, evidence, band.index))
    return tuple(found)
