"""Speed from tapped turns: the line, its uncertainty, and what is told of missed and double taps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from spindlewright.readings.counted_turns import TapsError, counted_turns

TURN_S = 1.8  # 33 1/3 rpm exactly: 60 / (100/3)


def taps(count: int, turn_s: float = TURN_S, hand_s: float = 0.03, seed: int = 1) -> list[float]:
    rng = np.random.default_rng(seed)
    return list(5.0 + turn_s * np.arange(count) + rng.normal(0.0, hand_s, count))


def test_slope_and_its_interval_are_those_of_a_general_library() -> None:
    """Witness: scipy.stats.linregress and Student's t, an independent route; clock and timer add less than 1 %."""
    times = taps(11)
    line = stats.linregress(np.arange(11), times)
    rpm = 60.0 / line.slope
    half_width = rpm / line.slope * line.stderr * stats.t.ppf(0.975, 9)
    reading = counted_turns(times)
    assert reading.value == pytest.approx(rpm, rel=1e-12)
    assert half_width <= reading.uncertainty < 1.01 * half_width
    assert reading.conditions["deviation_percent"] == pytest.approx(100.0 * (rpm / (100.0 / 3.0) - 1.0))
    assert (reading.conditions["taps"], reading.conditions["turns"]) == (11, 10)
    assert reading.quantity == "speed_by_counted_turns"
    assert reading.unit == "rpm"


def test_perfect_taps_still_have_the_clock_and_the_timers_step() -> None:
    """The clock is known to 100 ppm (published values 18, memory): 0.95 × 0.01 % of 33.33 rpm (rectangular)."""
    reading = counted_turns([TURN_S * k for k in range(40)])
    assert reading.value == pytest.approx(100.0 / 3.0, rel=1e-9)
    assert 0.95 * 0.01 / 100.0 * 33.33 < reading.uncertainty < 0.006


@pytest.mark.parametrize("lost", [1, 4, 9])
def test_one_missed_tap_is_counted_and_told(lost: int) -> None:
    times = taps(12)
    whole = counted_turns(times)
    reading = counted_turns(times[:lost] + times[lost + 1 :])
    assert reading.conditions["missed_after"] == [lost]
    assert f"missed after tap {lost}" in reading.conditions["told"]
    assert reading.conditions["turns"] == 11
    assert abs(reading.value - whole.value) < reading.uncertainty


@pytest.mark.parametrize("place", [0, 5, 11])
def test_one_double_tap_is_left_out_and_told(place: int) -> None:
    times = taps(12, hand_s=0.01)
    reading = counted_turns(sorted([*times, times[place] + 0.25]))
    assert reading.conditions["left_out"] == [place + 2]
    assert "one too many" in reading.conditions["told"]
    assert reading.value == pytest.approx(counted_turns(times).value, rel=1e-9)


def test_more_than_one_missed_tap_is_refused_not_mended() -> None:
    times = taps(14)
    with pytest.raises(TapsError, match="does not fit one turn"):
        counted_turns(times[:3] + times[4:8] + times[9:])
    with pytest.raises(TapsError, match="does not fit one turn"):
        counted_turns(times[:5] + times[7:])


def test_two_double_taps_are_refused() -> None:
    times = taps(12, hand_s=0.01)
    with pytest.raises(TapsError, match="too soon"):
        counted_turns(sorted([*times, times[2] + 0.2, times[8] + 0.2]))


@pytest.mark.parametrize(
    ("times", "words"),
    [
        ([0.0, 1.8, 3.6], "at least 4"),
        ([0.0, 1.8, 1.8, 3.6], "not later"),
        ([0.0, 1.8, float("nan"), 5.4], "not a number"),
        ([0.0, 1800.0, 3600.0, 5400.0], "in seconds"),
        ([0.0, 0.1, 0.2, 0.3], "once for every turn"),
    ],
)
def test_taps_that_tell_nothing_are_refused_with_what_to_do(times: list[float], words: str) -> None:
    with pytest.raises(TapsError, match=words):
        counted_turns(times)


def test_a_nominal_speed_that_can_not_be_is_refused() -> None:
    with pytest.raises(TapsError, match="nominal speed"):
        counted_turns(taps(8), nominal_rpm=0.0)


@pytest.mark.parametrize(
    ("turn_s", "words"),
    [(60.0 / 45.0, "near 45 rpm"), (2.0 * TURN_S, "half the speed"), (0.5 * TURN_S, "twice the speed")],
)
def test_a_speed_far_from_the_one_chosen_is_doubted_aloud(turn_s: float, words: str) -> None:
    assert words in counted_turns(taps(10, turn_s)).conditions["doubt"]


def test_the_other_mains_is_no_doubt_of_the_taps() -> None:
    """27.78 rpm is 5/6 of 33 1/3 (trade practice 1.5): told as far from the speed, not as a miscount."""
    reading = counted_turns(taps(12, 2.16))
    assert reading.value == pytest.approx(27.78, abs=3.0 * reading.uncertainty)
    assert "lever" in reading.conditions["doubt"]


@given(st.floats(-1e5, 1e5), st.floats(0.6, 6.0), st.integers(4, 60))
def test_when_the_clock_started_and_how_long_does_not_matter(start_s: float, turn_s: float, count: int) -> None:
    """Closed form: taps exactly one turn apart give 60 over that time."""
    reading = counted_turns([start_s + turn_s * k for k in range(count)])
    assert reading.value == pytest.approx(60.0 / turn_s, rel=1e-6)
