"""Hum lines, azimuth, and before against after, read back from the drawing."""

from __future__ import annotations

import math
from typing import Any

import pytest

from drawings import lines_of_class, parsed, paths_filled, plot_box, points, word_place, words
from spindlewright.charts.azimuth_from_the_front import azimuth_from_the_front, times_drawn
from spindlewright.charts.before_against_after import Row, before_against_after
from spindlewright.charts.chart import FOR_A_SHEET, Chart
from spindlewright.charts.hum_lines import hum_lines

SPEED = Row("Speed deviation", "%", -0.8, 0.1, -0.1, 0.1, "better", -1.0, 1.5, zero_is_best=True, signed=True)
HUM = Row("Hum, left", "dB", -50.0, 0.5, -50.2, 0.5, "no change shown", high=-55.0)
BOUND = Row("Once per turn", "%", 0.31, 0.01, 0.002, 0.002, "better", zero_is_best=True, after_bound="upper")


def made(chart: Chart | None) -> Chart:
    assert chart is not None
    return chart


# hum


def test_hum_levels_are_against_the_reference_of_their_channel(measurement: dict[str, Any]) -> None:
    """−70 dBFS under −18 dBFS is −52 dB; under −20 dBFS −50 dB; −80 under −18 is −62 dB."""
    chart = made(hum_lines(measurement["readings"], wanted=FOR_A_SHEET))
    rows = {row[0]: row[1:] for row in chart.rows}
    assert rows["1"] == ("50.0", "−52.0", "−50.0")
    assert rows["3"] == ("150.0", "−62.0", "not seen")
    assert chart.sentence == (
        "Hum, in the silent groove: left −51.6 dB and right −50.0 dB over all lines. "
        "The largest line is left 50 Hz at −52.0 dB and right 50 Hz at −50.0 dB."
    )


def test_a_hum_line_is_as_high_as_its_level(measurement: dict[str, Any]) -> None:
    root = parsed(made(hum_lines(measurement["readings"], wanted=FOR_A_SHEET)).svg)
    scale = {float(w.replace("−", "-")): word_place(root, w)[1] for w in words(root) if w.startswith("−")}
    low, high = min(scale), max(scale)
    per_db = (scale[low] - scale[high]) / (high - low)
    upright = [line for line in lines_of_class(root, "ink") if len(line) == 2 and line[0][0] == line[1][0]]
    tall = sorted(abs(a[1] - b[1]) for a, b in upright)
    assert tall[-1] - tall[-2] == pytest.approx(10.0 * per_db, abs=0.3)  # −52 against −62 dB


def test_no_hum_line_no_chart(measurement: dict[str, Any]) -> None:
    assert hum_lines([]) is None
    quiet = [r | {"conditions": {"main": True, "lines": []}} for r in measurement["readings"]]
    assert hum_lines(quiet) is None


# azimuth


@pytest.mark.parametrize("angle", [2.0, -2.0, 0.4, 7.5, -12.0])
def test_the_headshell_leans_as_it_says(measurement: dict[str, Any], angle: float) -> None:
    """Clockwise is to the right at the top. The headshell's axis is in the accent; its slope gives the angle back."""
    (reading,) = (r for r in measurement["readings"] if r["quantity"] == "azimuth_error")
    chart = made(azimuth_from_the_front([reading | {"value": angle}], wanted=FOR_A_SHEET))
    root = parsed(chart.svg)
    straight = [line for line in lines_of_class(root, "accent") if len(line) == 2]
    (x0, y0), (x1, y1) = max(straight, key=lambda line: math.dist(*line))
    lean = math.degrees(math.atan2(x1 - x0, y0 - y1))
    times = times_drawn(angle)
    assert lean == pytest.approx(angle * times, abs=0.1)
    stated = "leaning drawn as it is" if times == 1 else f"leaning drawn {times} times as large"
    assert stated in words(root)
    assert ("anticlockwise" in chart.sentence) == (angle < 0)
    assert f"{angle:+.2f}°".replace("-", "−") in words(root)


def test_no_word_of_a_leaning_that_is_not_known(measurement: dict[str, Any]) -> None:
    (reading,) = (r for r in measurement["readings"] if r["quantity"] == "azimuth_error")
    chart = made(azimuth_from_the_front([reading | {"value": 0.3, "uncertainty": 0.5}], wanted=FOR_A_SHEET))
    assert "upright as far as can be told: +0.3 ± 0.50°" in chart.sentence
    assumed = reading | {"conditions": {"polarity": "assumed"}}
    assert "assumed polarity" in made(azimuth_from_the_front([assumed], wanted=FOR_A_SHEET)).sentence


def test_both_ways_are_drawn_when_the_channels_look_inverted(measurement: dict[str, Any]) -> None:
    (reading,) = (r for r in measurement["readings"] if r["quantity"] == "azimuth_error")
    doubtful = reading | {"conditions": {"polarity": "inverted", "sign": "doubtful: the channels look inverted"}}
    chart = made(azimuth_from_the_front([doubtful], wanted=FOR_A_SHEET))
    assert "clockwise" not in chart.sentence
    assert "Which way is in doubt" in chart.sentence
    root = parsed(chart.svg)
    ends = [line[-1][0] for line in lines_of_class(root, "accent") if len(line) == 2]
    middle = float(root.attrib["width"]) / 2.0
    assert len(ends) == 2
    assert min(ends) - middle == pytest.approx(middle - max(ends), abs=0.05)
    assert "2.00°" in words(root)


# before against after


def test_intervals_lie_in_their_order_on_the_scale() -> None:
    root = parsed(made(before_against_after([SPEED], FOR_A_SHEET)).svg)
    limits = sorted(line[0][0] for line in lines_of_class(root, "ink") if _upright(line) and _length(line) > 25.0)
    (after,) = (line for line in lines_of_class(root, "accent") if len(line) == 2)
    before = next(line for line in lines_of_class(root, "ink") if len(line) == 2 and line[0][1] == line[1][1])
    per_percent = (limits[1] - limits[0]) / 2.5  # from −1 to +1.5 %
    at = [limits[0] + per_percent * (value + 1.0) for value in (-0.9, -0.7, -0.2, 0.0)]
    assert [before[0][0], before[1][0], after[0][0], after[1][0]] == pytest.approx(at, abs=0.1)


def test_outcome_limit_and_figures_stand_in_words() -> None:
    chart = made(before_against_after([SPEED, HUM, BOUND], FOR_A_SHEET))
    drawn = words(parsed(chart.svg))
    assert {"better", "no change shown", "limit up to −55 dB", "limit −1 to +1.5 %"} <= set(drawn)
    assert chart.rows[0] == ("Speed deviation", "−0.80 ± 0.10 %", "−0.10 ± 0.10 %", "−1 to +1.5 %", "better")
    assert chart.rows[2][2] == "under 0.0020 %"
    assert "0.310 → under 0.0020 %" in drawn
    assert chart.sentence.startswith("3 quantities before and after the work: 2 better and 1 no change shown.")


def test_a_title_can_not_break_out() -> None:
    nasty = Row("<script>&\"'", "%", 1.0, 0.1, 2.0, 0.1, "worse")
    chart = made(before_against_after([nasty], FOR_A_SHEET))
    assert "<script" not in chart.svg
    assert "<script>&\"'" in words(parsed(chart.svg))
    assert made(before_against_after([Row("$x^2$", "%", 1.0, 0.1, 2.0, 0.1, "worse")])).rows[0][0] == "$x^2$"


def test_nothing_to_compare_no_chart() -> None:
    assert before_against_after([]) is None


def _upright(line: list[tuple[float, float]]) -> bool:
    return len(line) == 2 and line[0][0] == line[1][0]


def _length(line: list[tuple[float, float]]) -> float:
    return math.dist(line[0], line[-1])


def test_the_plot_box_holds_all_rows() -> None:
    chart = made(before_against_after([SPEED, HUM, BOUND]))
    assert chart.read_out.at == pytest.approx((1 / 6, 3 / 6, 5 / 6))
    for svg in (chart.svg, chart.narrow_svg):
        root = parsed(svg)
        _, top, _, height = plot_box(root)
        assert top < word_place(root, "Hum, left")[1] < top + height * 2 / 3


def test_a_change_within_the_pale_band_is_one_that_is_not_shown() -> None:
    """The band reaches from before − U to before + U: 10 ± 4 on a strip, after 12 within it, after 15 outside."""
    for after, outcome, within in ((12.0, "no change shown", True), (15.0, "better", False)):
        row = Row("Coast-down time", "s", 10.0, 1.0, after, 1.0, outcome, change_uncertainty=4.0)
        root = parsed(made(before_against_after([row], FOR_A_SHEET)).svg)
        (box,) = [points(d) for d in paths_filled(root, "tint") if points(d)[0][1] > plot_box(root)[1]]
        left, right = min(x for x, _ in box), max(x for x, _ in box)
        (mark,) = [c for c in root.iter("circle") if float(c.attrib["cy"]) > plot_box(root)[1]]
        assert (left < float(mark.attrib["cx"]) < right) == within
        before = next(line for line in lines_of_class(root, "ink") if len(line) == 2 and line[0][1] == line[1][1])
        assert right - left == pytest.approx(4.0 * (before[1][0] - before[0][0]), abs=0.1)  # 8 s against 2 s


def test_a_far_limit_hatches_the_whole_strip() -> None:
    """Both states are far outside: the limit's mark does not fit on the scale, the hatching still says outside."""
    row = Row("Rumble, weighted, left", "dB", -30.0, 0.1, -30.5, 0.1, "better", high=-50.0)
    inside = Row("Rumble, weighted, left", "dB", -80.0, 0.1, -80.5, 0.1, "better", high=-50.0)

    def slanted(one: Row) -> int:
        root = parsed(made(before_against_after([one], FOR_A_SHEET)).svg)
        return len(
            [line for line in lines_of_class(root, "rule") if line[0][0] != line[1][0] and _length(line) < 40.0]
        )

    assert slanted(row) > 30
    assert slanted(inside) == 0
