"""Azimuth: the headshell seen from its front, leaning by the measured angle."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from spindlewright.charts.canvas import Surface, drawn
from spindlewright.charts.chart import FOR_A_PAGE, Chart, Column, JsonObject, Wanted
from spindlewright.charts.ink_and_paper import ACCENT, HAIR, INK, LINE, PAPER, QUIET, RULE, SMALL_TEXT
from spindlewright.charts.stored import conditions_of, main_reading
from spindlewright.wording import figures

NAME = "azimuth_from_the_front"
TITLE = "Azimuth"
_LARGEST_DRAWN_DEG = 25.0

Point = tuple[float, float]


def azimuth_from_the_front(readings: Sequence[JsonObject], wanted: Wanted = FOR_A_PAGE) -> Chart | None:
    """The headshell leaning about its stylus; clockwise, seen from its front, is positive. None without the reading.

    Small angles are drawn larger, by a whole number that is written into the drawing (``times_drawn``).
    """
    reading = main_reading(readings, "azimuth_error")
    if reading is None:
        return None
    angle, half = float(reading["value"]), float(reading["uncertainty"])
    beside = main_reading((wanted.alongside or {}).get("readings") or (), "azimuth_error")
    times = times_drawn(max(abs(angle), abs(float(beside["value"])) if beside else 0.0))
    in_doubt = sign_in_doubt(conditions_of(reading))
    sentence = _sentence(angle, half, times, conditions_of(reading))

    def draw(on: Surface) -> None:
        _draw(on, angle, half, times, in_doubt)

    margins = (10.0, 10.0, 10.0, 10.0)
    svg, narrow = drawn(NAME, TITLE, sentence, wanted, draw, 300.0, margins, one_width=330.0)
    columns = (
        Column("Quantity", "", ("Azimuth error", "Uncertainty (95 %)", "Drawn larger by")),
        Column("Value", "", (f"{_degrees(angle, half)}°", f"{_degrees(half, half, False)}°", f"{times} times")),
    )
    return Chart(NAME, TITLE, sentence, svg, narrow, columns)


def sign_in_doubt(conditions: Mapping[str, object]) -> bool:
    """True when it is not known which way the headshell leans: the channels look inverted or exchanged."""
    return conditions.get("polarity") == "inverted" or str(conditions.get("sign", "")).startswith("doubtful")


def times_drawn(angle_deg: float) -> int:
    """By how much the angle is drawn larger: 1, 2, 5 or 10 times, so that the drawing leans by 15° at most.

    >>> times_drawn(0.2), times_drawn(-2.0), times_drawn(-8.0)
    (10, 5, 1)
    """
    return next((times for times in (10, 5, 2) if abs(angle_deg) * times <= 15.0), 1)


def _draw(on: Surface, angle: float, half: float, times: int, in_doubt: bool) -> None:
    from matplotlib.patches import Arc, PathPatch
    from matplotlib.path import Path

    axes = on.axes
    axes.set_axis_off()
    width, height = on.plot[2], on.plot[3]
    axes.set_xlim(-width / 2.0, width / 2.0)
    axes.set_ylim(-58.0, height - 58.0)
    lean = max(-_LARGEST_DRAWN_DEG, min(_LARGEST_DRAWN_DEG, angle * times))

    def turned(points: Sequence[Point], by: float = lean) -> list[Point]:
        c, s = math.cos(math.radians(by)), math.sin(math.radians(by))
        return [(x * c + y * s, -x * s + y * c) for x, y in points]

    def shape(points: Sequence[Point], fill: str = PAPER, line: float = 1.3) -> None:
        corners = [*turned(points), turned(points)[0]]
        codes = [Path.MOVETO, *[Path.LINETO] * (len(points) - 1), Path.CLOSEPOLY]
        axes.add_patch(PathPatch(Path(corners, codes), facecolor=fill, edgecolor=INK, linewidth=line))

    def stroke(points: Sequence[Point], colour: str = INK, line: float = LINE, **how: object) -> None:
        axes.plot(*zip(*points, strict=True), color=colour, linewidth=line, **how)  # type: ignore[arg-type]

    record = min(150.0, width / 2.0 - 4.0)
    for side in (-1.0, 1.0):
        stroke([(side * 7.0, 5.0), (side * record, 5.0)], line=1.1)
    stroke([(-7.0, 5.0), (0.0, -2.0), (7.0, 5.0)], line=1.1, solid_joinstyle="miter")
    for x in range(int(-record), int(record) - 6, 9):
        stroke([(x, -12.0), (x + 9.0, -3.0)], RULE, HAIR)
    stroke([(0.0, -18.0), (0.0, 214.0)], QUIET, 1.1, linestyle=(0, (1.2, 3.0)))

    shape([(-2.6, 7.0), (2.6, 7.0), (0.0, -1.0)], fill=INK, line=0.6)
    shape([(-3.2, 7.0), (3.2, 7.0), (3.2, 30.0), (-3.2, 30.0)])
    shape([(-36.0, 32.0), (36.0, 32.0), (40.0, 42.0), (40.0, 98.0), (-40.0, 98.0), (-40.0, 42.0)])
    shape([(-15.0, 30.0), (15.0, 30.0), (19.0, 60.0), (-19.0, 60.0)], line=LINE)
    shape([(-58.0, 98.0), (58.0, 98.0), (58.0, 112.0), (-58.0, 112.0)])
    for side in (-1.0, 1.0):
        shape(
            [
                (side * 30.0 - 6.0, 112.0),
                (side * 30.0 + 6.0, 112.0),
                (side * 30.0 + 6.0, 119.0),
                (side * 30.0 - 6.0, 119.0),
            ]
        )
    stroke(turned([(0.0, 119.0), (0.0, 190.0)]), ACCENT, 1.8)
    if in_doubt:
        stroke(turned([(0.0, 119.0), (0.0, 190.0)], -lean), ACCENT, 1.2, linestyle=(0, (4.0, 3.0)))
    shown_half = half * times
    if shown_half > 0.4:
        for by in (lean - shown_half, lean + shown_half):
            stroke(turned([(0.0, 119.0), (0.0, 190.0)], by), ACCENT, 0.7)
    if abs(lean) > 1.0:
        start, end = sorted((90.0, 90.0 - lean))
        axes.add_patch(Arc((0.0, 0.0), 350.0, 350.0, theta1=start, theta2=end, color=ACCENT, linewidth=LINE))
    tip = turned([(0.0, 196.0)])[0]
    to_the_right = lean >= 0.0
    axes.annotate(
        f"{_degrees(abs(angle), half, False) if in_doubt else _degrees(angle, half)}°",
        tip,
        xytext=(8.0 if to_the_right else -8.0, -2.0),
        textcoords="offset points",
        ha="left" if to_the_right else "right",
        fontsize=20.0,
        color=ACCENT,
    )
    on.at(on.width / 2.0 + (-10.0 if to_the_right else 10.0), 34.0, "upright", ha="right" if to_the_right else "left")
    on.at(on.width / 2.0, on.height - 30.0, "seen from its front", ha="center", fontsize=SMALL_TEXT)
    stated = "leaning drawn as it is" if times == 1 else f"leaning drawn {times} times as large"
    on.at(on.width / 2.0, on.height - 14.0, stated, ha="center", fontsize=SMALL_TEXT)


def _degrees(value: float, half: float, signed: bool = True) -> str:
    return figures(value, 1 if half >= 0.3 else 2, signed) if value or signed else "0"


def _sentence(angle: float, half: float, times: int, seen: dict[str, object]) -> str:
    way = "clockwise" if angle > 0 else "anticlockwise"
    width = max(half, 0.01)
    if abs(angle) <= half:
        words = f"The headshell stands upright as far as can be told: {_degrees(angle, half)} ± {figures(width, 2)}°."
    else:
        words = (
            f"The headshell leans {_degrees(abs(angle), half, False)} ± {figures(width, 2)}° {way}, "
            "seen from its front; true upright is dotted."
        )
    if sign_in_doubt(seen):
        words = words.replace(f"° {way}, seen", "°, seen")
        words += " Which way is in doubt, because the channels look inverted or exchanged; both ways are drawn."
    elif seen.get("polarity") == "assumed":
        words += " The sign rests on an assumed polarity."
    return words if times == 1 else f"{words} The leaning is drawn {times} times as large."
