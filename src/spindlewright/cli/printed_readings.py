"""The readings as a printed table: value ± uncertainty, limit, verdict in words; grouped by subject."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from rich.text import Text

from spindlewright.cli.paper import ACCENT, QUIET, Paper
from spindlewright.cli.wording import SIGNED, decimals_for, figures, limit_in_words, order, subject, title

NOTE_INDENT = " " * 6


def print_readings(paper: Paper, readings: list[dict[str, Any]]) -> None:
    """All readings. Of several bands the main one gets a full line, the others share one short line."""
    if not readings:
        paper.heading("Readings")
        paper.paragraph("None: what is said above under fitness, or the lack of a band to read, prevents them.")
        return
    in_order = sorted(readings, key=lambda reading: order(reading["quantity"]))
    for name, of_subject in groupby(in_order, key=lambda reading: subject(reading["quantity"])):
        paper.heading(name)
        for _, same in groupby(of_subject, key=lambda reading: (reading["quantity"], reading["channel"])):
            _print_quantity(paper, list(same))
    _print_limit_sources(paper, readings)


def _print_quantity(paper: Paper, same: list[dict[str, Any]]) -> None:
    main = next((reading for reading in same if reading["conditions"].get("main")), same[0])
    _print_reading(paper, main)
    others = [reading for reading in same if reading is not main]
    if others:
        text = ", ".join(f"{_value(reading)} in band {reading['band']}" for reading in others)
        paper.paragraph(f"also {text}", style=QUIET, indent=NOTE_INDENT)


def _print_reading(paper: Paper, reading: dict[str, Any]) -> None:
    limit = reading["limit"] or {"low": None, "high": None}
    verdict = {"within": "within", "outside": "outside"}.get(reading["verdict"] or "", "")
    row = Text(f"  {title(reading['quantity'], reading['channel']):<31}")
    row.append(f"{_value_with_uncertainty(reading):<24}")
    row.append(f"{limit_in_words(limit['low'], limit['high']):<15}", style=QUIET)
    row.append(verdict, style=ACCENT if verdict == "outside" else "")
    paper.line(row)
    for note in notes(reading):
        paper.paragraph(note, style=ACCENT if reading["verdict"] == "undecided" else QUIET, indent=NOTE_INDENT)


def notes(reading: dict[str, Any]) -> list[str]:
    """What must be said below a line: why no verdict was possible, what to do, what was assumed."""
    found = []
    conditions, limit = reading["conditions"], reading["limit"]
    if reading["verdict"] == "undecided" and limit:
        places = decimals_for(reading["uncertainty"], reading["value"])
        spread = f"±{figures(reading['uncertainty'], places)} {reading['unit']}"
        why = conditions.get("undecided_because") or f"{spread} reaches across the limit"
        found.append(f"too close to call, because {why}.")
    if isinstance(conditions.get("next_move"), str):
        found.append(f"Next: {conditions['next_move']}.")
    if conditions.get("polarity") == "assumed" and reading["quantity"] == "azimuth_error":
        found.append("polarity assumed: this disc has no band that shows it.")
    return found


def _value(reading: dict[str, Any]) -> str:
    places = decimals_for(reading["uncertainty"], reading["value"])
    if reading["conditions"].get("below_noise"):  # an upper bound: one digit less says enough
        return f"under {figures(reading['value'], max(0, places - 1))}"
    return figures(reading["value"], places, reading["quantity"] in SIGNED)


def _value_with_uncertainty(reading: dict[str, Any]) -> str:
    if reading["conditions"].get("below_noise"):
        return f"{_value(reading)} {reading['unit']}"
    places = decimals_for(reading["uncertainty"], reading["value"])
    return f"{_value(reading)} ± {figures(reading['uncertainty'], places)} {reading['unit']}"


def _print_limit_sources(paper: Paper, readings: Iterable[dict[str, Any]]) -> None:
    sources = dict.fromkeys(reading["limit"]["source"] for reading in readings if reading["limit"])
    if sources:
        paper.line()
    for source in sources:
        paper.paragraph(f"Limits: {source}", style=QUIET)
