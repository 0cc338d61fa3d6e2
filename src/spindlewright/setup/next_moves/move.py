"""One advised move: what to turn, which way, how much, why, and what to beware of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spindlewright.readings.reading import Channel
from spindlewright.standards.cautions import cautions_for

Kind = Literal["adjust", "suspect", "repeat", "leave"]
"""``adjust``: turn, fit or exchange something. ``suspect``: look here first. ``repeat``: record, count or measure
again before anything is turned. ``leave``: this deck can't be adjusted there; say so on the sheet."""


@dataclass(frozen=True, slots=True)
class Move:
    """``what`` is the thing to turn, ``direction`` which way in words, ``amount`` with ``unit`` how far (None: not
    known yet). ``because`` is a clause that says why, ``words`` the instruction as a clause, ``more`` what follows.
    ``cautions`` are ids of the table of cautions. ``key`` names the kind of move, ``quantity`` and ``channel`` the
    reading it rests on (None: a finding)."""

    what: str
    direction: str
    amount: float | None
    unit: str | None
    because: str
    cautions: tuple[str, ...]
    kind: Kind
    key: str
    words: str
    quantity: str | None = None
    channel: Channel | None = None
    more: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The instruction and what belongs to it, as whole sentences."""
        return " ".join((f"{self.words[:1].upper()}{self.words[1:]}.", *self.more))


def caution_ids(step: str) -> tuple[str, ...]:
    """Ids of the cautions that a step of the table shows."""
    return tuple(one.id for one in cautions_for(step))
