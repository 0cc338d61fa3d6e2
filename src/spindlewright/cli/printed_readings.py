"""The readings as a printed table: value ± uncertainty, limit, verdict in words; grouped by subject."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from rich.text import Text

from spindlewright.cli.paper import ACCENT, QUIET, Paper
from spindlewright.wording import (
    SIGNED,
    figures,
    limit_in_words,
    order,
    subject,
    title,
    unit_in_words,
    upper_bound,
    value_with_uncertainty,
)

NOTE_INDENT = " " * 6
NO_BREAK = "\N{NO-BREAK SPACE}"
MOST_LINES = 6
"""Lines of a spectrum named on the page; all of them come with ``--json``."""


def print_readings(paper: Paper, readings: list[dict[str, Any]]) -> None:
    """All readings. Of several bands the main one gets a full line, the others share one short line."""
    if not readings:
        paper.heading("Readings")
        paper.paragraph("None. What is said above under fitness prevents them, or no band was found to read.")
        return
    in_order = sorted(readings, key=lambda reading: order(reading["quantity"]))
    for name, of_subject in groupby(in_order, key=lambda reading: subject(reading["quantity"])):
        paper.heading(name)
        for _, of_quantity in groupby(of_subject, key=lambda reading: str(reading["quantity"])):
            _print_quantity(paper, list(of_quantity))


def main_readings(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Of each quantity and channel the one of the main band, or the first."""
    chosen: dict[tuple[str, str | None], dict[str, Any]] = {}
    for reading in readings:
        key = (reading["quantity"], reading["channel"])
        if key not in chosen or (reading["conditions"].get("main") and not chosen[key]["conditions"].get("main")):
            chosen[key] = reading
    return list(chosen.values())


def _print_quantity(paper: Paper, readings: list[dict[str, Any]]) -> None:
    by_channel: dict[str | None, list[dict[str, Any]]] = {}
    for reading in readings:
        by_channel.setdefault(reading["channel"], []).append(reading)
    for same in by_channel.values():
        (main,) = main_readings(same)
        print_reading(paper, main)
        others = [f"{_value(one)} in {_place(one)}" for one in same if one is not main]
        if others:
            text = "also " + ", ".join(one.replace(" ", NO_BREAK) for one in others)
            paper.paragraph(text, style=QUIET, indent=NOTE_INDENT)
    if any(reading["limit"] and reading["conditions"].get("velocity_known") is False for reading in readings):
        text = "no verdict: how fast the reference band was cut is not known. Next: name the disc with --layout."
        paper.paragraph(text, style=QUIET, indent=NOTE_INDENT)


def _place(reading: dict[str, Any]) -> str:
    bands = [reading["band"]] if reading["band"] is not None else reading["conditions"].get("bands", [])
    return f"band {'+'.join(map(str, bands))}" if bands else "the whole side"


def print_reading(paper: Paper, reading: dict[str, Any]) -> None:
    """One reading on a line of its own, with its limit and verdict; what belongs to it under it."""
    limit = reading["limit"] or {"low": None, "high": None}
    verdict = {"within": "within", "outside": "outside"}.get(reading["verdict"] or "", "")
    row = Text(f"  {title(reading['quantity'], reading['channel']):<30}")
    row.append(f"{measured(reading):<24}")
    row.append(f"{limit_in_words(limit['low'], limit['high']):<17}", style=QUIET)
    row.append(verdict, style=ACCENT if verdict == "outside" else "")
    paper.line(row)
    if reading["verdict"] == "undecided":
        paper.paragraph(why_undecided(reading), style=ACCENT, indent=NOTE_INDENT)
    for note in notes(reading):
        paper.paragraph(note, style=QUIET, indent=NOTE_INDENT)


def why_undecided(reading: dict[str, Any]) -> str:
    """``too close to call, because …``, and what would settle it where that is known."""
    spread = f"±{_rounded(reading)[1]} {unit_in_words(reading['unit'])}"
    why = reading["conditions"].get("undecided_because") or f"{spread} reaches across the limit"
    move = reading["conditions"].get("next_move")
    return f"too close to call, because {why}." + (f" Next: {move}." if isinstance(move, str) else "")


def notes(reading: dict[str, Any]) -> list[str]:
    """What belongs below a line: the lines of a spectrum, and what had to be assumed."""
    conditions = reading["conditions"]
    found = []
    if reading["quantity"] == "hum" and (lines := conditions.get("lines")):
        found.append(_named_lines("lines", [(line["frequency_hz"], line["level_dbfs"]) for line in lines], "dBFS", 1))
    if lines := conditions.get("other_lines"):
        strongest = sorted(lines, key=lambda line: -line["peak_percent"])
        sizes = [(line["frequency_hz"], line["peak_percent"]) for line in strongest if line["peak_percent"] >= 0.001]
        if sizes:
            found.append(_named_lines("other lines", sizes, "% peak", 3))
    if conditions.get("polarity") == "assumed" and reading["quantity"] == "azimuth_error":
        found.append("polarity assumed: this disc has no band that shows it.")
    return found


def _named_lines(name: str, lines: list[tuple[float, float]], unit: str, places: int) -> str:
    every = [f"{frequency:.4g} Hz {figures(size, places)}" for frequency, size in lines]
    named = [one.replace(" ", NO_BREAK) for one in every[:MOST_LINES]]
    return f"{name}: {', '.join(named)} {unit}{' and more' if len(every) > MOST_LINES else ''}"


def _rounded(reading: dict[str, Any]) -> tuple[str, str]:
    signed = reading["quantity"] in SIGNED
    return value_with_uncertainty(reading["value"], reading["uncertainty"], reading["unit"], signed)


def _value(reading: dict[str, Any]) -> str:
    if reading["conditions"].get("below_noise"):
        return f"under {upper_bound(reading['value'], reading['unit'])}"
    return _rounded(reading)[0]


def measured(reading: dict[str, Any]) -> str:
    """``−0.592 ± 0.095 %``, or ``under 0.003 %`` where only a bound is known."""
    unit = unit_in_words(reading["unit"])
    if reading["conditions"].get("below_noise"):
        return f"{_value(reading)} {unit}"
    return f"{' ± '.join(_rounded(reading))} {unit}"


def print_limit_sources(paper: Paper, readings: Iterable[dict[str, Any]]) -> None:
    """Each source once, with the limit it stands for in its own words."""
    sources = dict.fromkeys(str(reading["limit"]["source"]) for reading in readings if reading["limit"])
    if sources:
        paper.heading("Where the limits come from")
    for source in sources:
        paper.paragraph(source, style=QUIET, indent=NOTE_INDENT, first="  ")
