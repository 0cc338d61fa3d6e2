"""Hum: the lines locked to the mains, per channel."""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.charts.canvas import Surface, drawn, name_the_axes
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, JsonObject, ReadOut, Wanted
from spindlewright.charts.ink_and_paper import ACCENT, INK, PAPER, QUIET, SMALL_TEXT
from spindlewright.charts.stored import conditions_of, main_reading
from spindlewright.wording import KINDS, figures, listed

NAME = "hum_lines"
TITLE = "Hum lines"
CHANNELS = ("left", "right")
_STEP_DB = 10.0


def hum_lines(readings: Sequence[JsonObject], wanted: Wanted = FOR_A_PAGE) -> Chart | None:
    """Level of each mains line that was seen: left in ink, filled; right in the accent, open. None without such lines.

    Levels are against the reference level where there is one (dB), else against full scale (dBFS). Orders are named by
    their frequency. A line that is not drawn was not seen over the noise.
    """
    found = _of_channels(readings)
    unit = next((str(reading["unit"]) for reading in found.values() if reading is not None), "dB")
    levels = _levels_of(found, unit)
    orders = sorted({order for lines in levels.values() for order in lines})
    if not orders:
        return None
    mains_hz = _mains_hz(found)
    sentence = _sentence(found, levels, mains_hz, unit)
    beside = _levels_of(_of_channels((wanted.alongside or {}).get("readings") or ()), unit)
    shown = list(range(1, max([5, *orders, *(order for lines in beside.values() for order in lines)]) + 1))
    scale = [level for several in (levels, beside) for lines in several.values() for level in lines.values()]

    def draw(on: Surface) -> None:
        _draw(on, levels, shown, mains_hz, unit, scale)

    svg, narrow = drawn(NAME, TITLE, sentence, wanted, draw, (270.0, 250.0))
    columns = (
        Column("Order", "", tuple(float(order) for order in shown), 0),
        Column("Frequency", "Hz", tuple(order * mains_hz for order in shown), 1),
        *(
            Column(
                channel.capitalize(),
                unit,
                tuple(levels[channel].get(order, "not seen") for order in shown),
                1,
            )
            for channel in levels
        ),
    )
    at = tuple((place + 0.5) / len(shown) for place in range(len(shown)))
    note = "Only lines that stand over the noise are drawn."
    return Chart(NAME, TITLE, sentence, svg, narrow, columns, ReadOut("along", at), note)


def _of_channels(readings: Sequence[JsonObject]) -> dict[str, JsonObject | None]:
    return {channel: main_reading(readings, "hum", channel=channel) for channel in CHANNELS}


def _levels_of(found: dict[str, JsonObject | None], unit: str) -> dict[str, dict[int, float]]:
    return {channel: _levels(reading, channel, unit) for channel, reading in found.items() if reading is not None}


def _levels(reading: JsonObject, channel: str, unit: str) -> dict[int, float]:
    seen = conditions_of(reading)
    reference = (seen.get("reference_dbfs") or {}).get(channel) if unit == "dB" else 0.0
    if reference is None:
        return {}
    return {
        int(line["order"]): float(line["level_dbfs"]) - float(reference)
        for line in seen.get("lines") or ()
        if line.get("level_dbfs") is not None
    }


def _mains_hz(found: dict[str, JsonObject | None]) -> float:
    for reading in found.values():
        for line in conditions_of(reading).get("lines") or () if reading is not None else ():
            return float(line["frequency_hz"]) / float(line["order"])
    return 50.0


def _draw(
    on: Surface,
    levels: dict[str, dict[int, float]],
    shown: Sequence[int],
    mains_hz: float,
    unit: str,
    scale: Sequence[float],
) -> None:
    axes = on.axes
    floor = _STEP_DB * (min(scale) // _STEP_DB - 1.0)
    top = _STEP_DB * (max(scale) // _STEP_DB + 1.0) + 2.0
    axes.set_ylim(floor, top)
    axes.set_xlim(0.5, len(shown) + 0.5)
    axes.margins(0)
    apart = 0.14
    for channel, lines in levels.items():
        left_one = channel == "left"
        colour = INK if left_one else ACCENT
        for order, level in lines.items():
            x = order + (-apart if left_one else apart)
            axes.plot([x, x], [floor, level], color=colour, linewidth=3.0, solid_capstyle="butt", zorder=3)
            axes.plot(
                [x],
                [level],
                marker="o" if left_one else "s",
                markersize=7.0,
                markerfacecolor=colour if left_one else PAPER,
                markeredgecolor=colour,
                markeredgewidth=1.6,
                linestyle="none",
                zorder=4,
            )
    every = 1 if len(shown) <= (6 if on.narrow else 12) else 2 if len(shown) <= (12 if on.narrow else 20) else 4
    ticks = list(shown)[::every]
    axes.set_xticks(ticks, [f"{order * mains_hz:.0f}" for order in ticks])
    axes.set_yticks([floor + _STEP_DB * n for n in range(int((top - floor) // _STEP_DB) + 1)])
    axes.yaxis.set_major_formatter(lambda value, _: figures(value, 0))
    left, plot_top, width, _ = on.plot
    on.at(left + width - 70.0, plot_top - 11.0, "● left", color=INK, ha="right", fontsize=SMALL_TEXT)
    on.at(left + width, plot_top - 11.0, "□ right", color=ACCENT, ha="right", fontsize=SMALL_TEXT)
    against = "record level" if unit == "dB" else "full scale"
    name_the_axes(on, "frequency, Hz", f"level, {unit}" if on.narrow else f"level against {against}, {unit}")
    axes.tick_params(axis="x", labelcolor=QUIET)


def _sentence(
    found: dict[str, JsonObject | None], levels: dict[str, dict[int, float]], mains_hz: float, unit: str
) -> str:
    sums = [
        f"{channel} {figures(float(reading['value']), 1)} {unit}"
        for channel, reading in found.items()
        if reading is not None
    ]
    kind = next((conditions_of(r).get("kind") for r in found.values() if r is not None), None)
    where = {"lifted": ", with the arm lifted", "silence": ", in the silent groove"}.get(str(kind), "")
    where = where if kind in KINDS else ""
    words = f"Hum{where}: {' and '.join(sums)} over all lines."
    largest = []
    for channel, lines in levels.items():
        if lines:
            order = max(lines, key=lambda order: lines[order])
            largest.append(f"{channel} {order * mains_hz:.0f} Hz at {figures(lines[order], 1)} {unit}")
    return f"{words} The largest line is {listed(largest)}."
