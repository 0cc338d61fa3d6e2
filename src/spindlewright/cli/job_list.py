"""``spindlewright job list``: the jobs of this shop."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json
from spindlewright.cli.shop_access import json_line, opened_shop

if TYPE_CHECKING:
    from spindlewright.cli.paper import Paper
    from spindlewright.shop.views.lists import JobRow

PLACES = {"bench": "on the bench", "waiting": "waiting", "ready": "ready", "handed-over": "handed over", "all": "all"}


def list_jobs(
    *words: Annotated[str, Parameter(help="Only jobs that hold all these words (deck, owner, serial, number).")],
    place: Annotated[
        Literal["bench", "waiting", "ready", "handed-over", "all"],
        Parameter(help="On the bench, waiting, ready, handed over, or all of them (default)."),
    ] = "all",
    limit: Annotated[int, Parameter(help="At most so many (default: 50).")] = 50,
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """The jobs of this shop, the one changed last first."""
    from spindlewright.shop.jobs_list import jobs

    with opened_shop(data) as shop:
        page = jobs(shop, " ".join(words), PLACES[place], limit)
    if json:
        sys.stdout.writelines(json_line(row) for row in page.rows)
        return 0
    from spindlewright.cli.paper import QUIET, Paper

    paper = Paper()
    if not page.rows:
        looked_for = f" that hold {' '.join(words)!r}" if words else ""
        paper.paragraph(f"No jobs{looked_for}. Begin one with: spindlewright job new --deck …", indent="")
    for row in page.rows:
        _print_row(paper, row)
    if page.more:
        paper.paragraph(f"{page.more} more; name a word to look for, or raise --limit.", style=QUIET, indent="")
    return 0


def _print_row(paper: Paper, row: JobRow) -> None:
    from rich.text import Text

    from spindlewright.cli.paper import ACCENT, QUIET

    waiting = f"waiting for {row.waiting_for}" if row.waiting_for else row.place
    paper.line(Text.assemble((row.number, ACCENT), "  ", (row.deck, "bold")))
    paper.paragraph(
        f"{waiting}, {row.stage_title}; {row.owner or 'no owner written down'}", style=QUIET, indent="    "
    )
    paper.paragraph(f"Next: {row.next_words}", indent="    ")
