"""Before against after: which way a change goes, what cancels, and what can't be compared."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from readings.hand_made import made
from spindlewright.readings.comparison import Comparison, compare, not_compared
from spindlewright.readings.day_to_day import USUAL_HALF_WIDTHS
from spindlewright.readings.reading import Reading
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

DISC, CLOCK, NOISE = rectangular("disc", 0.1), rectangular("clock", 0.01), Contribution("noise", 0.002)


def speed(value: float, *lines: Contribution, **conditions: object) -> Reading:
    return made("speed_deviation", value, *(lines or (DISC, CLOCK, NOISE)), nominal_hz=3150.0, **conditions)


def only(before: Reading, after: Reading, **same: bool) -> Comparison:
    (one,) = compare([before], [after], **same)
    return one


def test_the_disc_and_the_clock_cancel_when_both_are_the_same() -> None:
    """What is left is noise of both, √2 × 0.002, and the day to day line (convolved by the JCGM 101 route)."""
    one = only(speed(-0.52), speed(-0.42), same_disc=True, same_recorder=True)
    wanted = coverage_half_width(
        [Contribution("noise", 0.002 * math.sqrt(2.0)), rectangular("day", USUAL_HALF_WIDTHS["speed_deviation"])]
    )
    assert one.change == pytest.approx(0.10)
    assert one.uncertainty == pytest.approx(wanted, rel=1e-6)
    assert one.outcome == "better"


def test_another_disc_counts_twice() -> None:
    """Two rectangles of ±0.1 make a triangle of ±0.2, whose 95 % half-width is 0.2 × (1 − √0.05) = 0.1553."""
    one = only(speed(-0.52, DISC), speed(-0.42, DISC), same_disc=False, same_recorder=True)
    assert one.uncertainty == pytest.approx(0.2 * (1.0 - math.sqrt(0.05)), abs=0.003)
    assert one.outcome == "no change shown"


def test_not_knowing_counts_as_another_disc_and_naming_it_settles_it() -> None:
    unknown = only(speed(-0.5), speed(-0.4))
    named = only(speed(-0.5, test_disc="A", recorder="R"), speed(-0.4, test_disc="A", recorder="R"))
    other = only(speed(-0.5, test_disc="A", recorder="R"), speed(-0.4, test_disc="B", recorder="R"))
    assert unknown.uncertainty is not None
    assert named.uncertainty is not None
    assert other.uncertainty is not None
    assert named.uncertainty < 0.03 < 0.15 < other.uncertainty <= unknown.uncertainty


def test_better_needs_to_know_on_which_side_of_zero_it_lies() -> None:
    same = {"same_disc": True, "same_recorder": True}
    assert only(speed(-0.80), speed(-0.05), **same).outcome == "better"
    assert only(speed(-0.05), speed(-0.80), **same).outcome == "worse"
    assert only(speed(0.80), speed(0.30), **same).outcome == "better"
    across = only(speed(-0.08), speed(0.06), **same)
    assert across.outcome == "changed"
    assert "not known well enough" in across.sentence
    assert only(speed(-0.80), speed(-0.795), **same).outcome == "no change shown"


@pytest.mark.parametrize(
    ("quantity", "unit", "before", "after", "outcome"),
    [
        ("wow_flutter_weighted", "%", 0.25, 0.10, "better"),
        ("wow_flutter_weighted", "%", 0.10, 0.25, "worse"),
        ("rumble_weighted", "dB", -50.0, -56.0, "better"),
        ("tracking_force", "mN", 14.0, 18.0, "changed"),
        ("coast_down_time", "s", 13.0, 29.0, "better"),
        ("start_time", "s", 8.0, 3.0, "better"),
        ("arm_to_lead_resistance", "Ω", 0.4, 90.0, "worse"),
        ("insulation_resistance", "MΩ", 2.0, 50.0, "better"),
        ("channel_balance", "dB", 3.4, 0.4, "better"),
    ],
)
def test_which_way_is_better(quantity: str, unit: str, before: float, after: float, outcome: str) -> None:
    """Directions of trade practice 1.8 and 1.9 (typical change by a plain service)."""
    noise = Contribution("noise", 0.01)
    one = only(made(quantity, before, noise, unit=unit), made(quantity, after, noise, unit=unit))
    assert one.outcome == outcome
    assert outcome in one.sentence


def test_a_rate_of_rotation_is_better_nearer_its_nominal() -> None:
    def rate(value: float, nominal: float) -> Reading:
        return made("speed_by_counted_turns", value, Contribution("taps", 0.01), unit="rpm", nominal_rpm=nominal)

    assert only(rate(27.78, 100 / 3), rate(33.30, 100 / 3)).outcome == "better"
    assert only(rate(33.30, 100 / 3), rate(34.0, 100 / 3)).outcome == "worse"
    assert only(rate(33.30, 100 / 3), rate(45.0, 45.0)).outcome == "changed"


@pytest.mark.parametrize(
    ("before", "after", "outcome"),
    [
        ((-40.0, False), (-70.0, True), "better"),
        ((-70.0, True), (-40.0, False), "worse"),
        ((-70.0, True), (-75.0, True), "no change shown"),
        ((-69.0, False), (-70.0, True), "no change shown"),
        ((-72.0, True), (-74.0, False), "no change shown"),
    ],
)
def test_what_is_below_the_noise_compares_as_a_bound(
    before: tuple[float, bool], after: tuple[float, bool], outcome: str
) -> None:
    def hum(told: tuple[float, bool]) -> Reading:
        value, bound = told
        reading = made("hum", value, Contribution("noise", 0.0 if bound else 1.0), unit="dB", channel="left")
        return replace(reading, method="bound" if bound else "lines", conditions={"below_noise": bound})

    one = only(hum(before), hum(after))
    assert one.outcome == outcome
    assert one.change is None


def test_repeats_are_pooled_and_the_other_channel_kept_apart() -> None:
    lines = (Contribution("noise", 0.05),)
    before = [made("hum", v, *lines, unit="dB", channel="left") for v in (-40.1, -39.9, -40.0)]
    before += [made("hum", -70.0, *lines, unit="dB", channel="right")]
    after = [made("hum", v, *lines, unit="dB", channel="left") for v in (-60.1, -59.9, -60.0)]
    after += [made("hum", -70.1, *lines, unit="dB", channel="right")]
    left, right = compare(before, after)
    assert (left.channel, left.before.takes, left.outcome) == ("left", 3, "better")
    assert (right.channel, right.after.takes, right.outcome) == ("right", 1, "no change shown")


def test_only_main_bands_of_one_tone_and_one_method_are_compared() -> None:
    before = [speed(-0.5, main=True), speed(0.3, main=False)]
    after = [speed(-0.1, main=True)]
    assert len(compare(before, after)) == 1
    other_tone = [replace(speed(-0.1), conditions={"nominal_hz": 1000.0})]
    assert compare([speed(-0.5)], other_tone) == ()
    assert "3150 Hz" in not_compared([speed(-0.5)], other_tone)[0].why
    other_method = [replace(speed(-0.1), method="stroboscope")]
    assert "another method after: stroboscope" in not_compared([speed(-0.5)], other_method)[0].why
    newer = [replace(speed(-0.1), method_version=2)]
    assert "measure the earlier recording again" in not_compared([speed(-0.5)], newer)[0].why
    assert not_compared([speed(-0.5)], [])[0].why == "not read after"
    assert not_compared([], [speed(-0.5)])[0].why == "not read before"
    assert not_compared([speed(-0.5)], [speed(-0.4)]) == ()


def test_two_discs_do_not_compare_what_speaks_of_the_disc() -> None:
    flutter = [made("wow_flutter_weighted", v, Contribution("noise", 0.001)) for v in (0.25, 0.10)]
    one = only(*flutter, same_disc=False)
    assert one.outcome == "no change shown"
    assert "another disc was played" in one.sentence
    assert only(*flutter, same_disc=True).outcome == "better"


def test_a_disc_laid_on_anew_explains_a_little_once_per_turn() -> None:
    """Hole play of 0.09 mm at 100 mm (published values 14): 0.09 % each way, so 0.1 % of change shows nothing."""
    once = [made("once_per_revolution", v, Contribution("noise", 0.001)) for v in (0.05, 0.15)]
    assert only(*once, same_disc=True).outcome == "no change shown"
    far = [made("once_per_revolution", v, Contribution("noise", 0.001)) for v in (0.05, 0.45)]
    assert only(*far, same_disc=True).outcome == "worse"


def test_the_sentence_says_both_figures_and_what_can_not_be_seen() -> None:
    flutter = [made("wow_flutter_weighted", v, Contribution("noise", 0.001)) for v in (0.25, 0.10)]
    sentence = only(*flutter).sentence
    assert sentence.startswith("Wow and flutter, weighted")
    assert "0.250" in sentence
    assert "0.100" in sentence
    assert sentence.endswith("better.")
    same = only(speed(-0.8), speed(-0.79), same_disc=True, same_recorder=True).sentence
    assert "no change shown; less than 0.02" in same


def test_crosstalk_that_gets_worse_one_way_only_says_so() -> None:
    lines = (Contribution("noise", 0.05),)
    ways = ("crosstalk_left_to_right", "crosstalk_right_to_left")

    def leaks(*values: float) -> list[Reading]:
        return [made(way, v, *lines, unit="dB", frequency_hz=1000.0) for way, v in zip(ways, values, strict=True)]

    before, after = leaks(-24.0, -37.0), leaks(-29.0, -29.0)
    first, second = compare(before, after)
    assert (first.outcome, second.outcome) == ("better", "worse")
    assert "better the other way round" in second.sentence
