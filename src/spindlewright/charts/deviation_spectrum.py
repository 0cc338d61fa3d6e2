"""What the deviation is made of: its spectrum, with the rates of the turning parts marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from spindlewright.charts.canvas import Surface, drawn, name_the_axes
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, JsonObject, ReadOut, Wanted
from spindlewright.charts.ink_and_paper import ACCENT, INK, SMALL_TEXT
from spindlewright.charts.part_lines import SpectrumLine, lines_of_the_reading, spectrum_lines
from spindlewright.charts.stored import (
    conditions_of,
    curve_named,
    main_band,
    main_reading,
    points_of,
    values_alongside,
)
from spindlewright.wording import figures, listed

if TYPE_CHECKING:
    from matplotlib.lines import Line2D
    from matplotlib.ticker import Locator

NAME = "deviation_spectrum"
TITLE = "What the deviation is made of"
FROM_HZ, TO_HZ = 0.2, 200.0
SMALLEST_TOP = 0.001
ROWS = 90


def deviation_spectrum(
    measurement: JsonObject,
    rates: Mapping[str, Sequence[float]] | None = None,
    band: int | None = None,
    wanted: Wanted = FOR_A_PAGE,
) -> Chart | None:
    """Peak deviation (%) of each rate from 0.2 to 200 Hz, with the rates of the turning parts marked.

    ``rates`` gives each part its rates in Hz, once a turn and multiples (``setup.rotating_parts.rates_to_mark``).
    Without ``rates`` only the platter is marked, whose rate is measured. None without a kept curve.
    """
    curve = curve_named(measurement, "deviation_spectrum", band)
    if curve is None:
        return None
    frequency, peak = points_of(curve)
    band = curve["band"] if curve.get("band") is not None else main_band(measurement)
    once = main_reading(measurement.get("readings") or (), "once_per_revolution", band)
    known = {name: tuple(several) for name, several in (rates or {}).items() if len(several)}
    if "platter" not in known and once is not None and conditions_of(once).get("rate_hz"):
        known = {"platter": (float(conditions_of(once)["rate_hz"]),), **known}
    seen = (frequency >= FROM_HZ) & (frequency <= TO_HZ)
    lines = spectrum_lines(frequency[seen], peak[seen], once, known)
    sentence = _sentence(lines, known)

    def draw(on: Surface) -> None:
        beside = values_alongside(wanted.alongside, "deviation_spectrum")
        its_once = main_reading((wanted.alongside or {}).get("readings") or (), "once_per_revolution")
        of_lines = [*(line.peak_percent for line in lines), *(size for _, size in lines_of_the_reading(its_once))]
        largest = [*peak[seen], *beside, *of_lines]
        _draw(on, frequency[seen], peak[seen], lines, known, max(1.16 * max(largest), SMALLEST_TOP))

    margins = (58.0, 18.0, 74.0, 44.0)
    svg, narrow = drawn(NAME, TITLE, sentence, wanted, draw, (320.0, 290.0), margins)
    columns, at = _table(frequency[seen], peak[seen], lines)
    note = "Each row of the table stands for a stretch of rates; the named lines have rows of their own."
    return Chart(NAME, TITLE, sentence, svg, narrow, columns, ReadOut("along", at), note)


def _draw(
    on: Surface,
    frequency: np.ndarray,
    peak: np.ndarray,
    lines: Sequence[SpectrumLine],
    known: Mapping[str, Sequence[float]],
    top: float,
) -> None:
    axes = on.axes
    edges = np.geomspace(FROM_HZ, TO_HZ, 150 if on.narrow else 330)
    slot = np.digitize(frequency, edges)
    places = [int(np.flatnonzero(slot == s)[np.argmax(peak[slot == s])]) for s in np.unique(slot)]
    axes.set_xscale("log")
    axes.set_xlim(FROM_HZ, TO_HZ)
    axes.set_ylim(0.0, top)
    axes.plot(frequency[places], peak[places], color=INK, linewidth=0.9)
    axes.fill_between(frequency[places], peak[places], 0.0, color=INK, alpha=0.10, linewidth=0)
    for line in lines:
        axes.plot([line.frequency_hz] * 2, [0.0, line.peak_percent], color=INK, linewidth=1.6, solid_capstyle="butt")
    ticks = [0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200]
    if on.narrow:
        ticks = [0.2, 1, 5, 20, 100]
    axes.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    axes.xaxis.set_minor_locator(_none())
    axes.locator_params(axis="y", nbins=5)
    _mark_parts(on, known)
    _name_lines(on, lines, top)
    name_the_axes(on, "rate, Hz", "peak, %" if on.narrow else "peak deviation, %")


def _none() -> Locator:
    from matplotlib.ticker import NullLocator

    return NullLocator()


def _mark_parts(on: Surface, known: Mapping[str, Sequence[float]]) -> None:
    """A dotted line down from the name of each part; short strokes at its multiples. Names give way upwards."""
    left, top, width, _ = on.plot
    span = np.log(TO_HZ / FROM_HZ)
    ends = [-1e9, -1e9, -1e9, -1e9]
    for name, several in sorted(known.items(), key=lambda part: part[1][0]):
        for order, rate in enumerate(several, 1):
            if not FROM_HZ <= rate <= TO_HZ:
                continue
            if order == 1:
                on.axes.axvline(rate, color=ACCENT, linewidth=LINE_OF_PART, linestyle=(0, (1.2, 2.4)))
            else:
                on.axes.axvline(rate, ymin=0.96, color=ACCENT, linewidth=LINE_OF_PART)
        first = several[0]
        if not FROM_HZ <= first <= TO_HZ:
            continue
        place = left + width * float(np.log(first / FROM_HZ) / span)
        half = 3.4 * len(name)
        row = next((r for r, end in enumerate(ends) if place - half > end), len(ends) - 1)
        ends[row] = place + half + 6.0
        place = min(max(place, left + half - 8.0), left + width - half)
        on.at(place, top - 6.0 - 15.0 * row, name, color=ACCENT, ha="center")
        if row:
            x = (place / on.width,) * 2
            y = (1.0 - top / on.height, 1.0 - (top - 3.0 - 15.0 * row) / on.height)
            on.figure.add_artist(_stroke(x, y))


LINE_OF_PART = 1.1


def _stroke(x: tuple[float, float], y: tuple[float, float]) -> Line2D:
    from matplotlib.lines import Line2D

    return Line2D(x, y, color=ACCENT, linewidth=LINE_OF_PART, linestyle=(0, (1.2, 2.4)))


def _name_lines(on: Surface, lines: Sequence[SpectrumLine], top: float) -> None:
    """Size and rate beside the largest lines, as far as there is room."""
    taken: list[tuple[float, float]] = []
    span = np.log(TO_HZ / FROM_HZ)
    _, _, width, height = on.plot
    for line in lines[: 3 if on.narrow else 4]:
        x = width * float(np.log(line.frequency_hz / FROM_HZ) / span)
        y = height * line.peak_percent / top
        if line.peak_percent < 0.08 * top or any(abs(x - a) < 96.0 and abs(y - b) < 15.0 for a, b in taken):
            continue
        taken.append((x, y))
        nearest_above = min((o.frequency_hz for o in lines if o.frequency_hz > line.frequency_hz), default=1e9)
        crowded = nearest_above < 1.3 * line.frequency_hz
        if crowded and x < 110.0:
            continue
        on_the_left = x > width - 110.0 or crowded
        on.axes.annotate(
            f"{figures(line.frequency_hz, 2)} Hz: {figures(line.peak_percent, 3)} %",
            (line.frequency_hz, line.peak_percent),
            xytext=(-5.0 if on_the_left else 5.0, 1.0),
            textcoords="offset points",
            ha="right" if on_the_left else "left",
            fontsize=SMALL_TEXT,
            color=INK,
        )


def _table(
    frequency: np.ndarray, peak: np.ndarray, lines: Sequence[SpectrumLine]
) -> tuple[tuple[Column, ...], tuple[float, ...]]:
    edges = np.geomspace(FROM_HZ, TO_HZ, ROWS + 1)
    rows: list[tuple[float, float, str]] = []
    for low, high in pairwise(edges):
        named = [line for line in lines if low <= line.frequency_hz < high]
        inside = np.flatnonzero((frequency >= low) & (frequency < high))
        if named:
            rows.extend((line.frequency_hz, line.peak_percent, line.part or "line") for line in named)
        elif len(inside):
            largest = int(inside[np.argmax(peak[inside])])
            rows.append((float(frequency[largest]), float(peak[largest]), ""))
    rows.sort()
    columns = (
        Column("Rate", "Hz", tuple(row[0] for row in rows), 2),
        Column("Peak deviation", "%", tuple(row[1] for row in rows), 4),
        Column("Part with this rate", "", tuple(row[2] for row in rows)),
    )
    at = tuple(float(np.log(row[0] / FROM_HZ) / np.log(TO_HZ / FROM_HZ)) for row in rows)
    return columns, at


def _sentence(lines: Sequence[SpectrumLine], known: Mapping[str, Sequence[float]]) -> str:
    if not lines:
        return "The spectrum of the deviation shows no single line; what there is, is spread over all rates."

    def told(line: SpectrumLine) -> str:
        whose = f" ({line.part})" if line.part else " (no part with this rate is known)" if len(known) > 1 else ""
        return f"{figures(line.peak_percent, 3)} % at {figures(line.frequency_hz, 2)} Hz{whose}"

    first, *rest = lines
    words = f"The largest line of the deviation is {told(first)}, as a peak."
    larger = [line for line in rest if line.peak_percent >= 0.1 * first.peak_percent][:3]
    if larger:
        words += f" Then come {listed([told(line) for line in larger])}."
    return words
