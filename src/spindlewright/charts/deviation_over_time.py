"""Deviation from nominal speed over the time of the recording."""

from __future__ import annotations

import numpy as np

from spindlewright.charts.canvas import Surface, drawn, name_the_axes
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, JsonObject, ReadOut, Wanted
from spindlewright.charts.ink_and_paper import ACCENT, HAIR, INK, LINE, QUIET
from spindlewright.charts.stored import (
    conditions_of,
    curve_named,
    main_band,
    main_reading,
    points_of,
    values_alongside,
)
from spindlewright.charts.thinning import in_stretches, thinned
from spindlewright.wording import figures

NAME = "deviation_over_time"
TITLE = "Deviation over time"
ROWS = 120


def deviation_over_time(measurement: JsonObject, band: int | None = None, wanted: Wanted = FOR_A_PAGE) -> Chart | None:
    """How far the speed was from nominal, moment by moment (%, 25 Hz wide at most); None without a kept curve.

    The line keeps the lowest and the highest of every stretch. The accent marks the mean, as the reading has it.
    """
    curve = curve_named(measurement, "deviation", band)
    if curve is None:
        return None
    time_s, percent = points_of(curve)
    band = curve["band"] if curve.get("band") is not None else main_band(measurement)
    readings = measurement.get("readings") or ()
    speed = main_reading(readings, "speed_deviation", band)
    mean = float(speed["value"]) if speed else float(np.mean(percent))
    sentence = _sentence(time_s, percent, mean, measurement, band)

    def draw(on: Surface) -> None:
        axes = on.axes
        x, y = thinned(time_s, percent, 170 if on.narrow else 420)
        axes.plot(x, y, color=INK, linewidth=0.7 if on.narrow else 0.8)
        axes.axhline(mean, color=ACCENT, linewidth=LINE * 1.3, dashes=(7, 4))
        both = np.concatenate([percent, values_alongside(wanted.alongside, "deviation")])
        low, high = float(np.min(both)), float(np.max(both))
        room = 0.10 * (high - low) or 0.05
        if low - 4.0 * room < 0.0 < high + 4.0 * room:
            low, high = min(low, 0.0), max(high, 0.0)
            axes.axhline(0.0, color=QUIET, linewidth=HAIR)
        axes.set_xlim(time_s[0], time_s[-1])
        axes.set_ylim(low - room, high + room)
        axes.locator_params(axis="y", nbins=6)
        axes.locator_params(axis="x", nbins=5 if on.narrow else 9)
        left, top, width, _ = on.plot
        on.at(left + width, top - 11.0, f"mean {figures(mean, 3, signed=True)} %", color=ACCENT, ha="right")
        name_the_axes(on, "time in the recording, s", "deviation, %" if on.narrow else "deviation from nominal, %")

    svg, narrow = drawn(NAME, TITLE, sentence, wanted, draw, (270.0, 240.0))
    rows = in_stretches(time_s, percent, ROWS)
    span = float(time_s[-1] - time_s[0]) or 1.0
    places = 1 if span > 20.0 else 2
    columns = (
        Column("Time", "s", tuple(rows.middle.tolist()), places),
        Column("Lowest", "%", tuple(rows.lowest.tolist()), 3, signed=True),
        Column("Mean", "%", tuple(rows.mean.tolist()), 3, signed=True),
        Column("Highest", "%", tuple(rows.highest.tolist()), 3, signed=True),
    )
    at = tuple(((rows.middle - time_s[0]) / span).tolist())
    return Chart(NAME, TITLE, sentence, svg, narrow, columns, ReadOut("along", at), _note(span / len(at)))


def _note(step_s: float) -> str:
    return f"Each row of the table stands for {figures(step_s, 2)} s."


def _sentence(time_s: np.ndarray, percent: np.ndarray, mean: float, measurement: JsonObject, band: int | None) -> str:
    readings = measurement.get("readings") or ()
    words = (
        f"Deviation from nominal over {figures(float(time_s[-1] - time_s[0]), 0)} s: mean {figures(mean, 2, True)} %, "
        f"lowest {figures(float(np.min(percent)), 2, True)} %, highest {figures(float(np.max(percent)), 2, True)} %."
    )
    once = main_reading(readings, "once_per_revolution", band)
    if once is not None:
        seen = conditions_of(once)
        if seen.get("below_noise"):
            words += f" A line that repeats each turn is not seen (below {figures(float(once['value']), 3)} % peak)."
        elif seen.get("rate_hz") is not None:
            words += (
                f" The line at {figures(float(seen['rate_hz']), 2)} Hz, {figures(float(once['value']), 3)} % peak, "
                "repeats each turn."
            )
    drift = main_reading(readings, "speed_drift", band)
    if drift is not None and abs(drift["value"]) > max(drift["uncertainty"], 0.02):
        words += f" The speed drifts by {figures(float(drift['value']), 2, True)} % a minute."
    return words
