"""Deviation as a map: one row for each turn, the platter's angle along it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from spindlewright.charts.canvas import Surface, drawn, name_the_axes
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, JsonObject, ReadOut, Wanted
from spindlewright.charts.ink_and_paper import FAST_STEPS, INK, PAPER, SLOW_STEPS, SMALL_TEXT
from spindlewright.charts.stored import values_alongside
from spindlewright.charts.turns import ANGLE_IN_SHORT, ANGLE_WORDS, Turns, turns_of
from spindlewright.wording import figures

NAME = "turns_map"
TITLE = "Map of the turns"
_STEPS = len(FAST_STEPS)
_COLUMN_DEG = 30.0
_SMALLEST_END = 0.001


def turns_map(measurement: JsonObject, band: int | None = None, wanted: Wanted = FOR_A_PAGE) -> Chart | None:
    """Faster than the mean in ink, slower in the accent and ruled, in four steps each.

    The steps end where half a per cent of all values lie beyond. What repeats each turn stands upright in the map;
    what turns at another rate leans. None with fewer than two whole turns.
    """
    turns = turns_of(measurement, band)
    if turns is None:
        return None
    beside = values_alongside(wanted.alongside, "deviation_by_angle")
    ends = [np.nanquantile(np.abs(values), 0.995) for values in (turns.percent, beside) if values.size]
    end = _rounded_up(float(max(ends)))
    level = np.where(np.isfinite(turns.percent), np.round(turns.percent / end * (_STEPS + 0.5) * 0.999), 0.0)
    level = np.clip(level, -_STEPS, _STEPS).astype(int)
    sentence = _sentence(turns, _rounded_up(float(ends[0])))

    def draw(on: Surface) -> None:
        _draw(on, turns, level, end)

    rows = min(max(turns.number, 8), 70)
    tall = 26.0 + 44.0 + 34.0 + rows * (6.4 if rows > 20 else 11.0)
    margins = (58.0, 18.0, 26.0, 78.0)
    svg, narrow = drawn(NAME, TITLE, sentence, wanted, draw, (tall, tall + 16.0), margins, (40.0, 18.0, 26.0, 94.0))
    across = np.arange(_COLUMN_DEG / 2.0, 360.0, _COLUMN_DEG)
    slot = (turns.angle_deg // _COLUMN_DEG).astype(int)
    columns = [Column("Turn", "", tuple(float(n) for n in range(1, turns.number + 1)), 0)]
    for place, middle in enumerate(across):
        values = np.nanmean(turns.percent[:, slot == place], axis=1)
        title = f"{middle - _COLUMN_DEG / 2:.0f} to {middle + _COLUMN_DEG / 2:.0f}°"
        columns.append(Column(title, "%", tuple(float(v) if np.isfinite(v) else None for v in values), 3, signed=True))
    at = tuple((n + 0.5) / turns.number for n in range(turns.number))
    read_out = ReadOut("map", at, tuple(float(middle / 360.0) for middle in across))
    note = f"Each column of the table is the mean over {_COLUMN_DEG:.0f}°."
    return Chart(NAME, TITLE, sentence, svg, narrow, tuple(columns), read_out, note)


def _draw(on: Surface, turns: Turns, level: np.ndarray, end: float) -> None:
    axes = on.axes
    step = 360.0 / level.shape[1]
    axes.grid(visible=False)
    axes.set_xlim(0.0, 360.0)
    axes.set_ylim(turns.number + 0.5, 0.5)
    for size in range(1, _STEPS + 1):
        for sign, colours in ((1, FAST_STEPS), (-1, SLOW_STEPS)):
            runs = list(_runs(level, sign * size))
            boxes = [((a * step, row + 0.5), (b - a) * step, 1.0) for row, a, b in runs]
            _boxes(on, boxes, colours[size - 1])
            if sign < 0:
                _rules(on, [((a * step, b * step), row + 1.0) for row, a, b in runs])
    for side in ("left", "right", "top"):
        axes.spines[side].set_visible(True)
    ticks = list(range(0, 361, 90 if on.narrow else 45))
    axes.set_xticks(ticks, [f"{tick}°" for tick in ticks])
    every = 1 if turns.number <= 8 else 5 if turns.number <= 45 else 10
    marks = [1, *range(every, turns.number + 1, every)] if every > 1 else list(range(1, turns.number + 1))
    axes.set_yticks(marks, [str(mark) for mark in marks])
    name_the_axes(on, ANGLE_IN_SHORT if on.narrow else ANGLE_WORDS, "turn")
    _key(on, end)


def _runs(level: np.ndarray, wanted: int) -> Iterator[tuple[int, int, int]]:
    """Row, first step, end step of each run of one level."""
    for row, values in enumerate(level):
        same = np.concatenate([[False], values == wanted, [False]]).astype(int)
        change = np.flatnonzero(np.diff(same))
        for start, stop in zip(change[::2], change[1::2], strict=True):
            yield row, int(start), int(stop)


def _boxes(on: Surface, boxes: list[tuple[tuple[float, float], float, float]], colour: str) -> None:
    """All boxes of one colour as one path."""
    if not boxes:
        return
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    corners, codes = [], []
    for (x, y), width, height in boxes:
        corners += [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]
        codes += [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY]
    on.axes.add_artist(PathPatch(Path(corners, codes), facecolor=colour, edgecolor="none", linewidth=0))


def _rules(on: Surface, rules: list[tuple[tuple[float, float], float]]) -> None:
    """A line of paper through slow cells, so that they are told apart without colour."""
    if not rules:
        return
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    ends = [point for (a, b), y in rules for point in ((a, y), (b, y))]
    codes = [Path.MOVETO, Path.LINETO] * len(rules)
    on.axes.add_artist(PathPatch(Path(ends, codes), facecolor="none", edgecolor=PAPER, linewidth=1.1))


def _key(on: Surface, end: float) -> None:
    """The steps with their bounds, under the map."""
    from matplotlib.patches import Rectangle

    left, top, width, height = on.plot
    box_width, box_height = (18.0, 10.0) if on.narrow else (26.0, 11.0)
    total = (2 * _STEPS + 1) * box_width
    x0, y0 = left + (width - total) / 2.0, top + height + 48.0
    for place in range(-_STEPS, _STEPS + 1):
        colour = SLOW_STEPS[-place - 1] if place < 0 else FAST_STEPS[place - 1] if place else PAPER
        x = x0 + (place + _STEPS) * box_width
        corner = (x / on.width, 1.0 - (y0 + box_height) / on.height)
        size = (box_width / on.width, box_height / on.height)
        box = Rectangle(corner, *size, facecolor=colour, edgecolor=INK, linewidth=0.4, transform=on.figure.transFigure)
        on.figure.add_artist(box)
        if place < 0:
            for share in (0.25, 0.5, 0.75):
                line_y = 1.0 - (y0 + share * box_height) / on.height
                from matplotlib.lines import Line2D

                line = Line2D([x / on.width, (x + box_width) / on.width], [line_y] * 2, color=PAPER, linewidth=0.9)
                on.figure.add_artist(line)
    figure = figures(end, 3 if end < 0.0995 else 2)
    down, out = (26.0, -total / 2.0 + 10.0) if on.narrow else (box_height - 1.5, 8.0)
    on.at(x0 - out, y0 + down, f"slower, −{figure} %", ha="right", fontsize=SMALL_TEXT)
    on.at(x0 + total + out, y0 + down, f"faster, +{figure} %", ha="left", fontsize=SMALL_TEXT)


def _rounded_up(size: float) -> float:
    """The next number with one or two figures; at least the smallest that is worth a colour.

    >>> _rounded_up(0.2713)
    0.28
    """
    if size <= _SMALLEST_END:
        return _SMALLEST_END
    unit = 10.0 ** (np.floor(np.log10(size)) - 1.0)
    return float(round(np.ceil(size / unit - 1e-9) * unit, 6))


def _sentence(turns: Turns, end: float) -> str:
    share = 100.0 * turns.share_that_repeats
    how_much = "Most" if share >= 50.0 else "Little"
    size = figures(end, 3 if end < 0.0995 else 2)
    return (
        f"{turns.number} turns, one row each, 0 to 360° from left to right; full cells are faster than the mean, "
        f"ruled cells slower, by up to {size} %. {how_much} of it stands upright and repeats each turn "
        f"({share:.0f} % of its power). Stripes that lean come from parts that turn at another rate."
    )
