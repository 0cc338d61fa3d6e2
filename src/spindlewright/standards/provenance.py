"""Where a number comes from and how far it can be trusted; what of a standard is here and what is not.

Every table in this room carries one of four statuses, the same words in code, pages and sheets:

``confirmed``  seen in the source named, or in a page that quotes it (then "secondary" is said);
``memory``     recalled, not looked up: a working hypothesis, never a hard gate;
``practice``   common practice of the trade, no source;
``derived``    worked out from first principles and re-checked numerically.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["confirmed", "memory", "practice", "derived"]

STATUS_IN_WORDS: dict[Status, str] = {
    "confirmed": "confirmed by look-up",
    "memory": "from memory, not confirmed by look-up",
    "practice": "common practice, no source",
    "derived": "derived from first principles",
}


@dataclass(frozen=True, slots=True)
class Fact:
    """One published number: what it is, its value and unit, the clause it stands in, source and status.

    ``clause`` is empty where it is not known. ``value`` is None where the document is known to say nothing.

    >>> print(Fact("recording speed tolerance", 0.5, "%", "5.6", "IEC 60098:2020", "confirmed"))
    recording speed tolerance 0.5 % (IEC 60098:2020 5.6, confirmed by look-up)
    """

    name: str
    value: float | None
    unit: str
    clause: str
    source: str
    status: Status

    def __str__(self) -> str:
        where = f"{self.source} {self.clause}".strip()
        value = "none stated" if self.value is None else f"{self.value:g} {self.unit}".strip()
        return f"{self.name} {value} ({where}, {STATUS_IN_WORDS[self.status]})"


@dataclass(frozen=True, slots=True)
class Clause:
    """One clause or rule of a standard and the object that does it, or why it is not done."""

    number: str
    subject: str
    done: bool
    where: str
