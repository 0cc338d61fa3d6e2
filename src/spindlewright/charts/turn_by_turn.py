"""Deviation against the platter's angle: every turn laid over the others, on a straight axis from 0 to 360°."""

from __future__ import annotations

import numpy as np

from spindlewright.charts.canvas import Surface, drawn, name_the_axes
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, JsonObject, ReadOut, Wanted
from spindlewright.charts.ink_and_paper import ACCENT, HAIR, INK, QUIET, STRONG
from spindlewright.charts.stored import values_alongside
from spindlewright.charts.turns import ANGLE_IN_SHORT, ANGLE_WORDS, Turns, turns_of
from spindlewright.wording import figures

NAME = "turn_by_turn"
TITLE = "Turn by turn"
ROW_DEG = 10.0


def turn_by_turn(measurement: JsonObject, band: int | None = None, wanted: Wanted = FOR_A_PAGE) -> Chart | None:
    """What repeats each turn (accent) and how far single turns are from it (ink).

    None with fewer than two whole turns.
    """
    turns = turns_of(measurement, band)
    if turns is None:
        return None
    mean = turns.mean
    sentence = _sentence(turns)

    def draw(on: Surface) -> None:
        axes = on.axes
        angle = np.concatenate([[0.0], turns.angle_deg, [360.0]])
        for turn in turns.percent:
            axes.plot(angle, _closed(turn), color=INK, linewidth=0.5, alpha=max(0.16, min(0.6, 5.0 / turns.number)))
        axes.axhline(0.0, color=QUIET, linewidth=HAIR)
        axes.plot(angle, _closed(mean), color=ACCENT, linewidth=STRONG * 1.2)
        axes.set_xlim(0.0, 360.0)
        axes.update_datalim([(0.0, float(y)) for y in values_alongside(wanted.alongside, "deviation_by_angle")])
        axes.autoscale_view(scalex=False)
        ticks = list(range(0, 361, 90 if on.narrow else 45))
        axes.set_xticks(ticks, [f"{tick}°" for tick in ticks])
        axes.locator_params(axis="y", nbins=6)
        left, top, width, _ = on.plot
        each = "each turn" if on.narrow else f"each of {turns.number} turns"
        on.at(left + width - 100.0, top - 11.0, each, color=INK, ha="right")
        on.at(left + width, top - 11.0, "mean turn", color=ACCENT, ha="right", fontweight="bold")
        name_the_axes(
            on,
            ANGLE_IN_SHORT if on.narrow else ANGLE_WORDS,
            "deviation, %" if on.narrow else "deviation from the mean, %",
        )

    svg, narrow = drawn(NAME, TITLE, sentence, wanted, draw, (290.0, 260.0), narrow_margins=(50.0, 18.0, 26.0, 44.0))
    rows = np.arange(ROW_DEG / 2.0, 360.0, ROW_DEG)
    slot = np.minimum((turns.angle_deg / ROW_DEG).astype(int), len(rows) - 1)
    several = [turns.percent[:, slot == row] for row in range(len(rows)) if np.any(slot == row)]
    used = [float(rows[row]) for row in range(len(rows)) if np.any(slot == row)]
    columns = (
        Column("Angle", "°", tuple(used), 0),
        Column("Mean turn", "%", tuple(float(np.nanmean(s)) for s in several), 3, signed=True),
        Column("Lowest turn", "%", tuple(float(np.nanmin(s)) for s in several), 3, signed=True),
        Column("Highest turn", "%", tuple(float(np.nanmax(s)) for s in several), 3, signed=True),
    )
    at = tuple(angle / 360.0 for angle in used)
    return Chart(NAME, TITLE, sentence, svg, narrow, columns, ReadOut("along", at), "Each row stands for 10°.")


def _closed(turn: np.ndarray) -> np.ndarray:
    """With its ends at 0 and 360° put half-way between the first and last steps."""
    ends = 0.5 * (turn[0] + turn[-1])
    return np.concatenate([[ends], turn, [ends]])


def _sentence(turns: Turns) -> str:
    mean = turns.mean
    low, high = int(np.argmin(mean)), int(np.argmax(mean))
    spread = float(np.sqrt(np.nanmean((turns.percent - mean) ** 2)))
    return (
        f"{turns.number} turns laid over each other: the mean turn goes from {figures(float(mean[low]), 3, True)} % "
        f"at {turns.angle_deg[low]:.0f}° to {figures(float(mean[high]), 3, True)} % at {turns.angle_deg[high]:.0f}°; "
        f"single turns are {figures(spread, 3)} % rms away from it. Of the whole movement, "
        f"{100.0 * turns.share_that_repeats:.0f} % (of its power) repeats each turn."
    )
