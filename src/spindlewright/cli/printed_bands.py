"""The bands of a recording as a printed table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.text import Text

from spindlewright.cli.paper import QUIET, Paper
from spindlewright.wording import KINDS, clock, short


def print_bands(paper: Paper, bands: Sequence[dict[str, Any]]) -> None:
    """One line a band (objects of the contract): number, time, kind, frequency, level, name on the disc."""
    paper.heading("Bands")
    if not bands:
        paper.paragraph("No band was found.")
        return
    paper.line(Text(_line("", "from – to", "kind", "frequency", "left / right", ""), style=QUIET))
    for band in bands:
        level = band["level_dbfs"]
        paper.line(
            _line(
                str(band["index"]),
                f"{clock(band['start_s'])} – {clock(band['end_s'])}",
                KINDS.get(band["kind"], band["kind"]),
                frequency_in_words(band),
                f"{_level(level['left'])} / {_level(level['right'])} dBFS",
                band["layout_name"] or "",
            )[: paper.width]
        )


def frequency_in_words(band: dict[str, Any]) -> str:
    """``3163.0 Hz (3150)``: found, and nominal in brackets; a sweep shows both of its ends."""
    if band["frequency_hz"] is not None:
        nominal = f" ({short(band['nominal_hz'])})" if band["nominal_hz"] is not None else ""
        return f"{band['frequency_hz']:.1f} Hz{nominal}"
    if band["from_hz"] is not None and band["to_hz"] is not None:
        return f"{band['from_hz']:.0f} to {band['to_hz']:.0f} Hz"
    return ""


def _level(level_dbfs: float | None) -> str:
    return "none" if level_dbfs is None else f"{level_dbfs:.1f}".replace("-", "−")


def _line(index: str, times: str, kind: str, frequency: str, level: str, name: str) -> str:
    return f"{index:>4}  {times:<17}{kind:<11}{frequency:<19}{level:<20} {name}"
