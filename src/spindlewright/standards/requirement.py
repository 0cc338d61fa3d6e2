"""One row of a table of requirements, as the document (or the trade) words it, with the readings it speaks of."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.standards.provenance import STATUS_IN_WORDS, Status

AT_1_KHZ = (900.0, 1100.0)
"""Tone frequencies in Hz that count as 1 kHz (own choice)."""
QUOTED = "as a secondary source quotes it"
"""Condition of rows whose document itself was not seen."""


@dataclass(frozen=True, slots=True)
class Requirement:
    """What must lie between ``low`` and ``high`` (in ``unit``; None: open on that side).

    ``quantities`` are the keys of the readings that can be held against the row as it stands; empty where none
    can. ``frequency_hz`` is the range of tone frequencies the row speaks of, None where it holds for any.
    ``condition`` is what else the document says, or how the row was come by. Levels "at least 35 dB down" have
    ``high`` −35.
    """

    subject: str
    low: float | None
    high: float | None
    unit: str
    quantities: tuple[str, ...] = ()
    frequency_hz: tuple[float, float] | None = None
    source: str = ""
    status: Status = "practice"
    condition: str = ""

    @property
    def source_in_words(self) -> str:
        """Source, subject, condition and status in one line, as it stands beside a verdict."""
        remarks = "; ".join(filter(None, (self.condition, STATUS_IN_WORDS[self.status])))
        return f"{self.source}: {self.subject} ({remarks})"
