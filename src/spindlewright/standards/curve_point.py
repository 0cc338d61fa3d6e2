"""One row of a table that gives a gain against frequency."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.standards.provenance import Status


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """Frequency in Hz, gain in dB re the table's own reference, and how well the row is known."""

    frequency_hz: float
    gain_db: float
    status: Status
