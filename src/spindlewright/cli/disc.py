"""``spindlewright disc list`` and ``disc show``: the test discs this shop knows."""

from __future__ import annotations

import sys
from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json
from spindlewright.cli.trouble import explain, print_trouble

if TYPE_CHECKING:
    from spindlewright.bands.band import LayoutBand
    from spindlewright.bands.layout import Layout
    from spindlewright.cli.paper import Paper


def list_discs(*, json: Json = False, data: DataFolder = None) -> int:
    """The discs that can be named with --layout: those shipped and those this shop has learned."""
    from spindlewright.cli.known_discs import known_discs
    from spindlewright.contract import to_json_line

    rows: list[dict[str, Any]] = []
    status = 0
    for disc in known_discs(data):
        try:
            layout = disc.layout()
        except ValueError as problem:
            print_trouble(explain(problem, str(disc.file)))
            status = 2
            continue
        rows.append(
            {
                "name": disc.name,
                "origin": disc.origin,
                "title": layout.title,
                "rpm": layout.rpm,
                "bands": len(layout.bands),
                "file": str(disc.file),
            }
        )
    if json:
        sys.stdout.writelines(to_json_line(row) + "\n" for row in rows)
        return status
    from spindlewright.cli.paper import QUIET, Paper
    from spindlewright.wording import counted

    paper = Paper()
    for origin, heading in (("shipped", "Discs that come with Spindlewright"), ("shop", "Discs of this shop")):
        paper.heading(heading)
        of_origin = [row for row in rows if row["origin"] == origin]
        for row in of_origin:
            paper.line(f"  {row['name']:<40}{row['rpm']:.6g} rpm, {counted(row['bands'], 'band')}")
            if row["title"]:
                paper.paragraph(row["title"], style=QUIET, indent=" " * 6)
        if not of_origin:
            paper.paragraph("None yet. Learn one with: spindlewright disc learn RECORDING")
    paper.line()
    return status


def show(
    name: Annotated[str, Parameter(help='Name of a disc from "spindlewright disc list", or a TOML file.')],
    /,
    *,
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """What one disc holds."""
    from spindlewright.cli.known_discs import find_layout
    from spindlewright.contract import plain, to_json_line

    layout = find_layout(name, data)
    if json:
        sys.stdout.write(to_json_line(plain(asdict(layout))) + "\n")
        return 0
    from spindlewright.cli.paper import Paper

    print_layout(Paper(), layout)
    return 0


def print_layout(paper: Paper, layout: Layout) -> None:
    """The layout as a table, one line a band."""
    from spindlewright.wording import KINDS

    paper.heading(layout.name)
    if layout.title:
        paper.paragraph(layout.title)
    spread = layout.speed_uncertainty_percent
    within = "not stated, ±0.1 % is assumed" if spread is None else f"±{spread:g} %"
    if layout.speed_error_percent:
        within = f"{layout.speed_error_percent:+g} %, known to within {within.removeprefix('not stated, ')}"
    paper.paragraph(f"{layout.rpm:.6g} rpm; the disc's own speed error: {within}.")
    paper.line()
    for band in layout.bands:
        paper.line(
            f"  {KINDS.get(band.kind, band.kind):<11}{_tone(band):<14}{_cut(band):<21}{band.name}"[: paper.width]
        )
    paper.line()


def _tone(band: LayoutBand) -> str:
    if band.nominal_hz is None:
        return ""
    return f"{band.nominal_hz:g} Hz" if band.to_hz is None else f"{band.nominal_hz:g}–{band.to_hz:g} Hz"


def _cut(band: LayoutBand) -> str:
    velocity = "" if band.velocity_cm_s is None else f"{band.velocity_cm_s:g} cm/s {band.velocity}"
    return f"{velocity}{' ref.' if band.reference else ''}"
