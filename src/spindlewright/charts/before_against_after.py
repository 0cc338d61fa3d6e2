"""Before against after: all quantities in one chart, one row each."""

from __future__ import annotations

import math
from collections.abc import Sequence

from spindlewright.charts.canvas import NARROW, WIDE
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, ReadOut, Wanted
from spindlewright.charts.comparison_drawing import comparison_drawing
from spindlewright.charts.comparison_row import Row
from spindlewright.wording import counted, listed

__all__ = ["NAME", "TITLE", "Row", "before_against_after"]

NAME = "before_against_after"
TITLE = "Before against after"


def before_against_after(rows: Sequence[Row], wanted: Wanted = FOR_A_PAGE) -> Chart | None:
    """Both intervals of each quantity on a scale of its own, its limit marked, the outcome in words.

    None without rows.
    """
    if not rows:
        return None
    sentence = _sentence(rows)
    name = f"{wanted.prefix}{NAME}"
    svg = comparison_drawing(rows, WIDE, False, f"{name}-wide", TITLE, sentence)
    narrow = comparison_drawing(rows, NARROW, True, f"{name}-narrow", TITLE, sentence) if wanted.narrow else ""
    columns = (
        Column("Quantity", "", tuple(row.title for row in rows)),
        Column("Before", "", tuple(row.intervals_in_words[0] for row in rows)),
        Column("After", "", tuple(row.intervals_in_words[1] for row in rows)),
        Column("Limit", "", tuple(row.limit_in_words or "none" for row in rows)),
        Column("Outcome", "", tuple(row.outcome for row in rows)),
    )
    at = tuple((place + 0.5) / len(rows) for place in range(len(rows)))
    note = "Each row has a scale of its own. The bars are 95 % intervals; a change within the pale band can't be told."
    return Chart(NAME, TITLE, sentence, svg, narrow, columns, ReadOut("rows", at), note)


def _sentence(rows: Sequence[Row]) -> str:
    outcomes = [row.outcome for row in rows]
    told = [
        f"{outcomes.count(words)} {words}"
        for words in dict.fromkeys(("better", "worse", "no change shown", *outcomes))
        if outcomes.count(words)
    ]
    clearest = max(rows, key=lambda row: _times_changed(row) if row.outcome == "better" else -1.0)
    words = f"{counted(len(rows), 'quantity', 'quantities')} before and after the work: {listed(told)}."
    if clearest.outcome == "better":
        before, after = clearest.values_in_words
        name = clearest.title[:1].lower() + clearest.title[1:]
        words += f" The clearest: {name}, from {before} to {after}{clearest.unit_after_a_number}."
    return words


def _times_changed(row: Row) -> float:
    """Size of the change over its doubt."""
    doubt = row.change_uncertainty or math.hypot(row.before_uncertainty, row.after_uncertainty)
    return abs(row.after - row.before) / doubt if doubt else math.inf
