"""The readings as a printed table: value ± uncertainty, limit, verdict in words; grouped by subject."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from rich.text import Text

from spindlewright.cli.paper import ACCENT, QUIET, Paper
from spindlewright.reading_words import (
    by_subject,
    elsewhere,
    lacks_velocity,
    limit_of,
    limit_sources,
    main_readings,
    measured,
    notes,
    why_undecided,
)
from spindlewright.wording import title

NOTE_INDENT = " " * 6


def print_readings(paper: Paper, readings: list[dict[str, Any]]) -> None:
    """All readings. Of several bands the main one gets a full line, the others share one short line."""
    if not readings:
        paper.heading("Readings")
        paper.paragraph("None. What is said above under fitness prevents them, or no band was found to read.")
        return
    for name, of_subject in by_subject(readings):
        paper.heading(name)
        for _, of_quantity in groupby(of_subject, key=lambda reading: str(reading["quantity"])):
            _print_quantity(paper, [dict(reading) for reading in of_quantity])


def _print_quantity(paper: Paper, readings: list[dict[str, Any]]) -> None:
    by_channel: dict[str | None, list[dict[str, Any]]] = {}
    for reading in readings:
        by_channel.setdefault(reading["channel"], []).append(reading)
    for same in by_channel.values():
        (main,) = main_readings(same)
        print_reading(paper, dict(main))
        if others := elsewhere(same):
            paper.paragraph(others, style=QUIET, indent=NOTE_INDENT)
    if any(lacks_velocity(reading) for reading in readings):
        text = "no verdict: how fast the reference band was cut is not known. Next: name the disc with --layout."
        paper.paragraph(text, style=QUIET, indent=NOTE_INDENT)


def print_reading(paper: Paper, reading: dict[str, Any]) -> None:
    """One reading on a line of its own, with its limit and verdict; what belongs to it under it."""
    verdict = {"within": "within", "outside": "outside"}.get(reading["verdict"] or "", "")
    row = Text(f"  {title(reading['quantity'], reading['channel']):<30}")
    row.append(f"{measured(reading):<24}")
    row.append(f"{limit_of(reading, with_unit=False):<17}", style=QUIET)
    row.append(verdict, style=ACCENT if verdict == "outside" else "")
    paper.line(row)
    if reading["verdict"] == "undecided":
        paper.paragraph(why_undecided(reading), style=ACCENT, indent=NOTE_INDENT)
    for note in notes(reading):
        paper.paragraph(note, style=QUIET, indent=NOTE_INDENT)


def print_limit_sources(paper: Paper, readings: Iterable[dict[str, Any]]) -> None:
    """Each source once, with the limit it stands for in its own words."""
    sources = limit_sources(readings)
    if sources:
        paper.heading("Where the limits come from")
    for source in sources:
        paper.paragraph(source, style=QUIET, indent=NOTE_INDENT, first="  ")
