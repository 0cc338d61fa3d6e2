"""Deviation over time, spectrum, turn by turn and map: what is drawn, said and tabled, against the closed form."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from drawings import lines_of_class, parsed, paths_filled, places_of, plot_box, points, word_place, words
from spindlewright.charts.chart import FOR_A_SHEET, Chart, Wanted
from spindlewright.charts.deviation_over_time import deviation_over_time
from spindlewright.charts.deviation_spectrum import FROM_HZ, TO_HZ, deviation_spectrum
from spindlewright.charts.turn_by_turn import turn_by_turn
from spindlewright.charts.turns import turns_of
from spindlewright.charts.turns_map import turns_map

IDLER = {"platter": (0.55, 1.1), "idler": (2.5, 5.0, 7.5)}


def made(chart: Chart | None) -> Chart:
    assert chart is not None
    return chart


def column(chart: Chart, name: str) -> np.ndarray:
    (found,) = (c for c in chart.columns if c.name == name)
    return np.array(found.values, dtype=float)


# deviation over time


def test_the_line_goes_where_the_curve_goes(measurement: dict[str, Any]) -> None:
    """Two axis labels give the scale; the line's ends and its extremes must fall on the closed form."""
    root = parsed(made(deviation_over_time(measurement, wanted=FOR_A_SHEET)).svg)
    left, _, width, _ = plot_box(root)
    line = max(lines_of_class(root, "ink"), key=len)
    grid = {round(y[0][1], 1) for y in lines_of_class(root, "rule") if len(y) == 2 and y[0][1] == y[1][1]}
    assert len(grid) >= 3
    heights = sorted(grid)
    # grid lines are one tick apart; −0.5 % is the mean line in the accent
    mean_y = lines_of_class(root, "accent")[0][0][1]
    ticks = sorted(float(w.replace("−", "-")) for w in words(root) if w.startswith("−0.") and " " not in w)
    per_percent = (heights[-1] - heights[0]) / (ticks[-1] - ticks[0])
    xs, ys = np.array(line).T
    assert xs[0] == pytest.approx(left, abs=0.05)
    assert xs[-1] == pytest.approx(left + width, abs=0.05)
    assert (ys.max() - mean_y) / per_percent == pytest.approx(0.2, abs=0.002)  # the sine's peak
    assert (mean_y - ys.min()) / per_percent == pytest.approx(0.2, abs=0.002)
    t = (xs - left) / width * 59.98
    expected = 0.2 * np.sin(2.0 * np.pi * 0.55 * t)
    assert np.abs((mean_y - ys) / per_percent - expected).max() < 0.006  # 0.02 s of the steepest slope is 0.014


def test_the_sentence_has_the_figures(measurement: dict[str, Any]) -> None:
    said = made(deviation_over_time(measurement, wanted=FOR_A_SHEET)).sentence
    assert said == (
        "Deviation from nominal over 60 s: mean −0.50 %, lowest −0.70 %, highest −0.30 %. "
        "The line at 0.55 Hz, 0.200 % peak, repeats each turn."
    )


def test_the_table_bounds_the_curve(measurement: dict[str, Any]) -> None:
    chart = made(deviation_over_time(measurement, wanted=FOR_A_SHEET))
    low, mean, high = (column(chart, name) for name in ("Lowest", "Mean", "Highest"))
    assert len(low) <= 120
    assert np.all(low <= mean)
    assert np.all(mean <= high)
    assert low.min() == pytest.approx(-0.7, abs=1e-4)
    assert high.max() == pytest.approx(-0.3, abs=1e-4)
    middle = column(chart, "Time")
    assert chart.read_out.at == pytest.approx(tuple((middle - 10.0) / 59.98))


@pytest.mark.parametrize("broken", [None, {}, {"deviation": {"x": [1.0], "y": [None], "band": 0}}])
def test_no_curve_no_chart(measurement: dict[str, Any], broken: Any) -> None:
    without = measurement | {"curves": broken}
    for chart in (deviation_over_time, deviation_spectrum, turn_by_turn, turns_map):
        assert chart(without) is None  # type: ignore[operator]


# spectrum


def test_lines_get_the_part_that_turns_at_their_rate(measurement: dict[str, Any]) -> None:
    chart = made(deviation_spectrum(measurement, IDLER, wanted=FOR_A_SHEET))
    assert chart.sentence.startswith("The largest line of the deviation is 0.200 % at 0.55 Hz (platter), as a peak.")
    assert "0.160 % at 2.50 Hz (idler) and 0.090 % at 5.00 Hz (idler ×2)" in chart.sentence
    rows = {row[0]: row[1:] for row in chart.rows}
    assert rows["2.50"] == ("0.1600", "idler")
    assert rows["5.00"] == ("0.0900", "idler ×2")


def test_an_unknown_line_is_not_given_to_a_part(measurement: dict[str, Any]) -> None:
    chart = made(deviation_spectrum(measurement, {"motor": (23.4,)}, wanted=FOR_A_SHEET))
    assert "2.50 Hz (no part with this rate is known)" in chart.sentence
    assert "idler" not in chart.svg


def test_part_names_stand_over_their_rates(measurement: dict[str, Any]) -> None:
    root = parsed(made(deviation_spectrum(measurement, IDLER, wanted=FOR_A_SHEET)).svg)
    left, _, width, _ = plot_box(root)
    marks = {round(line[0][0], 1) for line in lines_of_class(root, "accent") if line[0][0] == line[-1][0]}
    for rate in (0.55, 1.1, 2.5, 5.0, 7.5):
        x = left + width * math.log(rate / FROM_HZ) / math.log(TO_HZ / FROM_HZ)
        assert any(abs(x - mark) < 0.2 for mark in marks), rate
    x, _ = word_place(root, "idler")
    assert abs(x - (left + width * math.log(2.5 / FROM_HZ) / math.log(TO_HZ / FROM_HZ))) < 25.0


# turns


def test_turns_repeat_as_the_closed_form_says(measurement: dict[str, Any]) -> None:
    """Power that repeats: 0.2²/2 of 0.2²/2 + 0.1²/2, 80 %; cos(4.5 θ) changes its sign from turn to turn."""
    turns = turns_of(measurement)
    assert turns is not None
    assert turns.number == 20
    assert turns.mean == pytest.approx(0.2 * np.cos(np.radians(turns.angle_deg - 90.0)), abs=1e-9)
    assert turns.share_that_repeats == pytest.approx(0.8, abs=0.02)  # 20 turns: 1/20 of the rest is not told apart


def test_gaps_leave_a_turn_out(measurement: dict[str, Any]) -> None:
    curve = measurement["curves"]["deviation_by_angle"]
    keep = [i for i, x in enumerate(curve["x"]) if not 360.0 < x < 700.0]  # the second turn is nearly all lost
    less = curve | {"x": [curve["x"][i] for i in keep], "y": [curve["y"][i] for i in keep]}
    turns = turns_of({"curves": {"deviation_by_angle": less}})
    assert turns is not None
    assert turns.number == 19


def test_turn_by_turn_says_where_the_mean_turn_is_fast(measurement: dict[str, Any]) -> None:
    chart = made(turn_by_turn(measurement, wanted=FOR_A_SHEET))
    assert "+0.200 % at 88°" in chart.sentence  # the middle of a 5° step next to 90°
    assert "−0.200 % at 268°" in chart.sentence
    # four fifths of the power repeat; the rest is told by 20 turns about their own mean: 1 − 0.2 × 20/19 = 0.789
    assert "79 % (of its power) repeats each turn" in chart.sentence
    root = parsed(chart.svg)
    left, _, width, _ = plot_box(root)
    (mean,) = lines_of_class(root, "accent")
    highest = min(mean, key=lambda point: point[1])
    assert (highest[0] - left) / width * 360.0 == pytest.approx(90.0, abs=3.0)
    assert len([line for line in lines_of_class(root, "ink") if len(line) > 70]) == 20


def test_the_map_is_full_where_it_is_fast_and_ruled_where_it_is_slow(measurement: dict[str, Any]) -> None:
    chart = made(turns_map(measurement, wanted=FOR_A_SHEET))
    root = parsed(chart.svg)
    left, top, width, height = plot_box(root)

    def angles(colour: str) -> list[float]:
        corners = [p for d in paths_filled(root, colour) for p in points(d) if top <= p[1] <= top + height]
        return [(x - left) / width * 360.0 for x, _ in corners]

    assert all(30.0 <= a <= 150.0 for a in angles("ink")), "the deepest ink lies round 90°"
    assert all(210.0 <= a <= 330.0 for a in angles("accent")), "the deepest accent lies round 270°"
    rules = [p for line in lines_of_class(root, "paper") for p in line if top < p[1] < top + height]
    assert rules
    assert all(155.0 < (x - left) / width * 360.0 < 380.0 or (x - left) / width * 360.0 < 30.0 for x, _ in rules)
    third = column(chart, "60 to 90°")
    theta = np.arange(62.5, 90.0, 5.0)
    first_turn = np.mean(0.2 * np.cos(np.radians(theta - 90.0)) + 0.1 * np.cos(np.radians(4.5 * theta)))
    assert third[0] == pytest.approx(first_turn, abs=1e-9)
    assert chart.read_out.kind == "map"
    assert len(chart.read_out.at) == 20
    assert chart.read_out.across[2] == pytest.approx(75.0 / 360.0)


# odd curves


@pytest.mark.parametrize("size", [0.0, 1e-9, 5e3])
def test_flat_tiny_and_huge_curves_are_drawn_without_complaint(measurement: dict[str, Any], size: float) -> None:
    """Warnings are errors here: no axis of no height, no empty scale."""
    curves = {
        name: curve | {"y": [None if i == 7 else size * math.sin(i) ** 2 for i in range(len(curve["y"]))]}
        for name, curve in measurement["curves"].items()
    }
    odd = {"readings": [], "curves": curves}
    for chart in (deviation_over_time, deviation_spectrum, turn_by_turn, turns_map):
        drawn = made(chart(odd, wanted=FOR_A_SHEET))
        assert "nan" not in drawn.svg.lower().replace("dominant", "")
        assert "nan" not in drawn.sentence


def test_two_drawings_side_by_side_have_one_scale(measurement: dict[str, Any]) -> None:
    """After has a tenth of the deviation. Each chart of it, drawn beside Before, has the labels of Before's."""
    after = measurement | {
        "readings": [r for r in measurement["readings"] if r["quantity"] != "once_per_revolution"],
        "curves": {
            name: curve | {"y": [0.1 * y for y in curve["y"]]} for name, curve in measurement["curves"].items()
        },
    }
    beside = {"before": Wanted(narrow=False, alongside=after), "after": Wanted(narrow=False, alongside=measurement)}

    def labels(chart: Chart | None) -> list[tuple[str, float]]:
        root = parsed(made(chart).svg)
        left, top, _, height = plot_box(root)
        upright = [w for w in words(root) if w.removeprefix("−").replace(".", "").isdigit()]
        return sorted({(w, y) for w in upright for x, y in places_of(root, w) if x < left and y < top + height + 5.0})

    for chart in (deviation_over_time, deviation_spectrum, turn_by_turn):
        first, second = (chart(m, wanted=beside[k]) for m, k in ((measurement, "before"), (after, "after")))
        assert len(labels(first)) > 2
        assert labels(first) == labels(second), chart.__name__
        assert labels(chart(after, wanted=FOR_A_SHEET)) != labels(second), chart.__name__
    mapped = made(turns_map(after, wanted=beside["after"]))
    assert "by up to 0.030 %" in mapped.sentence, "what it says is its own"
    assert "slower, −0.30 %" in words(parsed(mapped.svg)), "what it is drawn with is common"
