"""Hum of one recording as its lines tell it: how loud each side, which family, arm up or stylus down."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from spindlewright.readings.reading import Reading
from spindlewright.setup.next_moves.evidence import Evidence, verdict_of
from spindlewright.standards.jcgm_106_2012 import decide

HEARD_DB = -50.0
"""Hum this far below the reference is heard in quiet passages (common practice, no source)."""
HEARD_DBFS = -65.0
"""The same where no reference level was recorded, for a take with peaks near -6 dBFS (common practice, no source)."""
ONE_SIDE_DB = 10.0
"""One channel this much louder: a fault of that channel's own wiring (common practice, no source)."""
RISES_WITH_STYLUS_DB = 10.0
"""A line this much louder with the stylus down than with the arm up comes through the stylus (common practice)."""


@dataclass(frozen=True, slots=True)
class HumSeen:
    """``left`` and ``right`` of one band; ``loud`` the louder one."""

    left: Reading
    right: Reading

    @property
    def loud(self) -> Reading:
        """The reading of the louder channel."""
        return self.left if self.left.value >= self.right.value else self.right

    @property
    def quiet(self) -> Reading:
        """The reading of the other channel."""
        return self.right if self.left.value >= self.right.value else self.left

    @property
    def arm_is_up(self) -> bool:
        """Whether the band was recorded with the arm lifted or on its rest."""
        return self.loud.conditions.get("kind") == "lifted"

    @property
    def matters(self) -> bool:
        """Whether it passes its limit; without one, what can be heard in quiet passages."""
        usual = HEARD_DB if self.loud.unit == "dB" else HEARD_DBFS
        return not self.loud.conditions.get("below_noise") and verdict_of(self.loud, None, usual) == "outside"

    @property
    def one_side(self) -> str | None:
        """``left`` or ``right`` when that channel alone hums; a bound on the other will do."""
        apart = self.loud.value - self.quiet.value
        spread = math.hypot(self.loud.uncertainty, self.quiet.uncertainty)
        return self.loud.channel if decide(apart, spread, None, ONE_SIDE_DB) == "outside" else None

    def share(self, orders: Iterable[int]) -> float:
        """Share of the louder channel's hum power in the lines of these orders (0 to 1)."""
        lines = self.loud.conditions.get("lines") or ()
        total = sum(_power(line) for line in lines)
        wanted = set(orders)
        return sum(_power(line) for line in lines if line["order"] in wanted) / total if total > 0.0 else 0.0

    def line_db(self, order: int) -> float | None:
        """Level in dBFS of the strongest line of that order in either channel; None when none stands out."""
        lines = [*(self.left.conditions.get("lines") or ()), *(self.right.conditions.get("lines") or ())]
        return max((float(line["level_dbfs"]) for line in lines if line["order"] == order), default=None)

    @property
    def mains_hz(self) -> float | None:
        """The mains frequency found in the band."""
        found = self.loud.conditions.get("mains_hz")
        return None if found is None else float(found)


def hum_by_kind(evidence: Evidence) -> dict[str, HumSeen]:
    """The first pair of channels of each kind of band, ``lifted`` and ``silence``; the main band's first."""
    by_band: dict[Any, dict[str, Reading]] = {}
    for reading in sorted(evidence.all("hum"), key=lambda r: not r.conditions.get("main")):
        if reading.channel in ("left", "right"):
            by_band.setdefault(reading.band, {}).setdefault(reading.channel, reading)
    seen: dict[str, HumSeen] = {}
    for channels in by_band.values():
        if len(channels) == 2:
            pair = HumSeen(channels["left"], channels["right"])
            seen.setdefault(str(pair.loud.conditions.get("kind", "silence")), pair)
    return seen


def _power(line: Mapping[str, Any]) -> float:
    return float(10.0 ** (float(line["level_dbfs"]) / 10.0))
