"""Innermost and outermost recorded radii of 30 cm discs, one pair for each edition that alignments are made for.

Source: hobby tables that compare the standards of 1958 to 1987 (confirmed there).
"""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.standards.provenance import Status


@dataclass(frozen=True, slots=True)
class RecordedRadii:
    """One pair of radii in mm and the documents it comes from."""

    name: str
    inner_mm: float
    outer_mm: float
    source: str
    status: Status
    remark: str = ""


RECORDED_RADII: tuple[RecordedRadii, ...] = (
    RecordedRadii(
        "iec", 60.325, 146.05, "IEC 98:1958", "confirmed", "the inner radius was meant for transcription discs"
    ),
    RecordedRadii("din", 57.5, 146.3, "DIN 45547:1981; outer also IEC 98:1964 and 1987", "confirmed"),
    RecordedRadii("jis", 57.6, 146.5, "JIS S8502:1973", "confirmed"),
)


def recorded_radii(name: str) -> RecordedRadii:
    """The pair of that name (``iec``, ``din``, ``jis``); ValueError with the names there are.

    >>> recorded_radii("iec").inner_mm
    60.325
    """
    for pair in RECORDED_RADII:
        if pair.name == name:
            return pair
    names = ", ".join(pair.name for pair in RECORDED_RADII)
    raise ValueError(f"recorded radii: found the name '{name}', allowed are {names}, or INNER,OUTER in mm")
