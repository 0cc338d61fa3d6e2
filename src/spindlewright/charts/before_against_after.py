"""Before against after: all quantities in one chart, one row each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from spindlewright.charts.canvas import Surface, drawn
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, ReadOut, Wanted
from spindlewright.charts.ink_and_paper import ACCENT, HAIR, INK, PAPER, QUIET, RULE, TEXT
from spindlewright.wording import counted, limit_in_words, listed, unit_in_words, upper_bound, value_with_uncertainty

NAME = "before_against_after"
TITLE = "Before against after"
_ROW = 54.0
_NARROW_ROW = 92.0


@dataclass(frozen=True, slots=True)
class Row:
    """One quantity before and after, in its unit, with the half-widths of the 95 % intervals and the outcome in words.

    A state known only as a bound has ``before_bound`` or ``after_bound``: "upper" (it lies below the value) or
    "lower". ``low`` and ``high`` are the limit, None where there is none on that side. ``zero_is_best`` puts zero on
    the scale.
    """

    title: str
    unit: str
    before: float
    before_uncertainty: float
    after: float
    after_uncertainty: float
    outcome: str
    low: float | None = None
    high: float | None = None
    zero_is_best: bool = False
    signed: bool = False
    before_bound: str | None = None
    after_bound: str | None = None


def before_against_after(rows: Sequence[Row], wanted: Wanted = FOR_A_PAGE) -> Chart | None:
    """Both intervals of each quantity on a scale of its own, its limit marked, the outcome in words.

    None without rows.
    """
    if not rows:
        return None
    sentence = _sentence(rows)

    def draw(on: Surface) -> None:
        _draw(on, rows)

    heights = (38.0 + _ROW * len(rows), 38.0 + _NARROW_ROW * len(rows))
    margins = (0.0, 0.0, 30.0, 8.0)
    svg, narrow = drawn(NAME, TITLE, sentence, wanted, draw, heights, margins, margins)
    both = [
        (
            _shown(r, r.before, r.before_uncertainty, r.before_bound),
            _shown(r, r.after, r.after_uncertainty, r.after_bound),
        )
        for r in rows
    ]
    columns = (
        Column("Quantity", "", tuple(row.title for row in rows)),
        Column("Before", "", tuple(before for before, _ in both)),
        Column("After", "", tuple(after for _, after in both)),
        Column("Limit", "", tuple(_limit_words(row) or "none" for row in rows)),
        Column("Outcome", "", tuple(row.outcome for row in rows)),
    )
    at = tuple((place + 0.5) / len(rows) for place in range(len(rows)))
    note = "Each row has a scale of its own; the bars are 95 % intervals."
    return Chart(NAME, TITLE, sentence, svg, narrow, columns, ReadOut("rows", at), note)


def _draw(on: Surface, rows: Sequence[Row]) -> None:
    axes = on.axes
    axes.set_axis_off()
    _, top, _, height = on.plot
    axes.set_xlim(0.0, on.width)
    axes.set_ylim(top + height, top)
    each = height / len(rows)
    strip = (14.0, on.width - 14.0) if on.narrow else (226.0, 506.0)
    _key(on, strip, rows)
    for place, row in enumerate(rows):
        upper = top + place * each
        axes.plot([0.0, on.width], [upper, upper], color=RULE, linewidth=HAIR)
        _row(on, row, upper, each, strip)
    axes.plot([0.0, on.width], [top + height] * 2, color=RULE, linewidth=HAIR)


def _key(on: Surface, strip: tuple[float, float], rows: Sequence[Row]) -> None:
    x, y = (8.0, 18.0)
    for words, colour, filled in (("before", INK, False), ("after", ACCENT, True)):
        _mark(on, x + 6.0, y - 4.0, colour, filled)
        on.at(x + 17.0, y, words, color=colour)
        x += 82.0
    on.axes.plot([x + 6.0] * 2, [y - 11.0, y + 3.0], color=INK, linewidth=1.6, clip_on=False)
    on.at(x + 14.0, y, "limit" if on.narrow else "limit, hatched outside")
    if any(row.zero_is_best for row in rows):
        x += 62.0 if on.narrow else 188.0
        on.axes.plot([x + 6.0] * 2, [y - 8.0, y], color=QUIET, linewidth=1.0, clip_on=False)
        on.at(x + 14.0, y, "zero")


def _mark(on: Surface, x: float, y: float, colour: str, filled: bool) -> None:
    on.axes.plot(
        [x],
        [y],
        marker="o" if filled else "D",
        markersize=8.0 if filled else 6.6,
        markerfacecolor=colour if filled else PAPER,
        markeredgecolor=colour,
        markeredgewidth=1.5,
        linestyle="none",
        clip_on=False,
        zorder=5,
    )


def _row(on: Surface, row: Row, upper: float, each: float, strip: tuple[float, float]) -> None:
    axes = on.axes
    low, high = _scale(row)

    def x_of(value: float) -> float:
        return strip[0] + (strip[1] - strip[0]) * (value - low) / (high - low)

    line_y = upper + (50.0 if on.narrow else 0.5 * each)
    before_y, after_y = line_y - 8.0, line_y + 8.0
    for limit, outwards in ((row.low, -1.0), (row.high, 1.0)):
        if limit is None or not low <= limit <= high:
            continue
        x = x_of(limit)
        edge = strip[0] if outwards < 0 else strip[1]
        for hatch in range(int(abs(edge - x) // 7.0)):
            start = x + outwards * 7.0 * hatch
            slope = [start, start + outwards * 7.0]
            axes.plot(slope, [line_y + 15.0, line_y - 15.0], color=RULE, linewidth=HAIR)
        axes.plot([x, x], [line_y - 16.0, line_y + 16.0], color=INK, linewidth=1.6, solid_capstyle="butt")
    axes.plot(strip, [line_y, line_y], color=RULE, linewidth=HAIR)
    if row.zero_is_best and low <= 0.0 <= high:
        axes.plot([x_of(0.0)] * 2, [line_y - 4.0, line_y + 4.0], color=QUIET, linewidth=1.0)
    for value, half, bound, y, colour, filled in (
        (row.before, row.before_uncertainty, row.before_bound, before_y, INK, False),
        (row.after, row.after_uncertainty, row.after_bound, after_y, ACCENT, True),
    ):
        ends = [max(strip[0], x_of(value - half)), min(strip[1], x_of(value + half))]
        if bound:
            ends = [strip[0], x_of(value)] if bound == "upper" else [x_of(value), strip[1]]
        axes.plot(ends, [y, y], color=colour, linewidth=2.2, solid_capstyle="butt", zorder=4)
        if bound:
            axes.plot([x_of(value)] * 2, [y - 5.0, y + 5.0], color=colour, linewidth=2.2, zorder=4)
        else:
            _mark(on, x_of(value), y, colour, filled)
    _words(on, row, upper, each)


def _words(on: Surface, row: Row, upper: float, each: float) -> None:
    before, after = _values(row)
    values = f"{before} → {after}{_unit(row)}"
    limit = _limit_words(row)
    weight = "bold" if row.outcome in {"better", "worse"} else "normal"
    if on.narrow:
        on.at(8.0, upper + 20.0, row.title, color=INK, fontsize=TEXT)
        on.at(on.width - 8.0, upper + 20.0, row.outcome, color=INK, ha="right", fontsize=TEXT, fontweight=weight)
        on.at(8.0, upper + 83.0, values, color=INK)
        on.at(on.width - 8.0, upper + 83.0, f"limit {limit}" if limit else "", ha="right")
        return
    middle = upper + 0.5 * each
    on.at(8.0, middle - 3.0, row.title, color=INK, fontsize=TEXT)
    on.at(8.0, middle + 13.0, f"limit {limit}" if limit else "no limit")
    on.at(524.0, middle - 3.0, row.outcome, color=INK, fontsize=TEXT, fontweight=weight)
    on.at(524.0, middle + 13.0, values, color=INK)


def _scale(row: Row) -> tuple[float, float]:
    """Ends of the strip: both intervals, zero where it is best, and the limits unless they are far away."""
    ends = [row.before - row.before_uncertainty, row.before + row.before_uncertainty]
    ends += [row.after - row.after_uncertainty, row.after + row.after_uncertainty]
    if row.zero_is_best:
        ends.append(0.0)
    near = max(max(ends) - min(ends), 1e-9)
    ends += [limit for limit in (row.low, row.high) if limit is not None and _near(limit, ends, near)]
    room = 0.09 * (max(ends) - min(ends)) or max(1e-9, abs(ends[0]) * 0.1)
    return min(ends) - room, max(ends) + room


def _near(limit: float, ends: Sequence[float], span: float) -> bool:
    away = max(0.0, min(ends) - limit, limit - max(ends))
    return away <= 6.0 * span


_BOUNDS = {"upper": "under", "lower": "over"}


def _values(row: Row) -> tuple[str, str]:
    """Both values as printed, without the unit; a bound with "under" or "over"."""

    def printed(value: float, half: float, bound: str | None) -> str:
        if bound:
            return f"{_BOUNDS[bound]} {upper_bound(value, row.unit)}"
        return value_with_uncertainty(value, half, row.unit, row.signed)[0]

    return (
        printed(row.before, row.before_uncertainty, row.before_bound),
        printed(row.after, row.after_uncertainty, row.after_bound),
    )


def _unit(row: Row) -> str:
    """The unit as it follows a number: degrees without a space."""
    unit = unit_in_words(row.unit)
    return unit if unit == "°" else f" {unit}"


def _shown(row: Row, value: float, half: float, bound: str | None) -> str:
    if bound:
        return f"{_BOUNDS[bound]} {upper_bound(value, row.unit)}{_unit(row)}"
    number, uncertainty = value_with_uncertainty(value, half, row.unit, row.signed)
    return f"{number} ± {uncertainty}{_unit(row)}"


def _limit_words(row: Row) -> str:
    words = limit_in_words(row.low, row.high)
    return f"{words}{_unit(row)}" if words else ""


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
        before, after = _values(clearest)
        name = clearest.title[:1].lower() + clearest.title[1:]
        words += f" The clearest: {name}, from {before} to {after}{_unit(clearest)}."
    return words


def _times_changed(row: Row) -> float:
    """Size of the change over its doubt."""
    doubt = math.hypot(row.before_uncertainty, row.after_uncertainty)
    return abs(row.after - row.before) / doubt if doubt else math.inf
