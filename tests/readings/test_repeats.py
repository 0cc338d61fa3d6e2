"""Repeats pooled: what shrinks with the number of takes and what does not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from readings.hand_made import made
from spindlewright.readings.repeats import pooled
from spindlewright.standards.jcgm_101_2008 import Contribution, rectangular


def test_one_take_is_as_good_as_its_budget() -> None:
    reading = made("speed_deviation", -0.8, rectangular("disc", 0.1), Contribution("noise", 0.002))
    one = pooled([reading])
    assert one.value == -0.8
    assert one.uncertainty == pytest.approx(reading.uncertainty)
    assert one.takes == 1
    assert one.spread is None


def test_the_worked_example_of_published_values_18() -> None:
    """Clock 50 ppm and disc 0.05 % rectangular, repeatability 0.010 %: combined 0.0307 % (JCGM 100, from memory)."""
    reading = made(
        "speed_deviation", 0.1, rectangular("clock", 0.005), rectangular("disc", 0.05), Contribution("noise", 0.010)
    )
    one = pooled([reading])
    combined = math.sqrt(sum(line.standard_uncertainty**2 for line in (*one.drawn, *one.standing)))
    assert combined == pytest.approx(0.0307, abs=5e-5)


def test_three_takes_scatter_by_students_t() -> None:
    """Values 1, 2, 3: mean 2, s = 1, U = 4.3027 × 1/√3 = 2.484 (Student's table, 2 degrees of freedom)."""
    takes = [made("coast_down_time", value, Contribution("noise", 0.01), unit="s") for value in (1.0, 2.0, 3.0)]
    three = pooled(takes)
    assert three.value == 2.0
    assert three.spread == pytest.approx(1.0)
    assert three.uncertainty == pytest.approx(4.302653 / math.sqrt(3.0), rel=1e-4)


def test_takes_that_agree_by_chance_are_not_better_than_their_budgets() -> None:
    """Four equal values with 0.2 of noise each: 1.96 × 0.2/√4 = 0.196."""
    four = pooled([made("coast_down_time", 5.0, Contribution("noise", 0.2), unit="s") for _ in range(4)])
    assert four.uncertainty == pytest.approx(1.959964 * 0.1, rel=1e-5)


def test_the_disc_does_not_get_better_by_playing_it_often() -> None:
    takes = [made("speed_deviation", 0.3, rectangular("disc", 0.1), Contribution("noise", 1e-6)) for _ in range(25)]
    assert pooled(takes).uncertainty == pytest.approx(0.095, rel=1e-3)


def test_a_stored_budget_that_lost_its_degrees_of_freedom_is_made_good() -> None:
    """A t line of 3 degrees has 3.182/1.960 the width of the normal one that is stored; the stated width counts."""
    stored = made("once_per_revolution", 0.2, Contribution("noise", 0.01))
    stored = type(stored)(
        stored.quantity, stored.value, stored.unit, 3.182446 * 0.01, stored.budget, stored.method, stored.source
    )
    assert pooled([stored]).uncertainty == pytest.approx(3.182446 * 0.01, rel=1e-3)


def test_bounds_stay_bounds() -> None:
    bound = made("hum", -80.0, unit="dB", below_noise=True)
    seen = made("hum", -82.0, Contribution("noise", 1.0), unit="dB")
    both = pooled([bound, seen])
    assert both.bound == "upper"
    assert both.value == pytest.approx(max(-80.0, -82.0 + 1.959964))
    assert both.lowest == -math.inf
    over = pooled([made("insulation_resistance", 200.0, unit="MΩ", at_least=True)])
    assert (over.bound, over.value, over.highest) == ("lower", 200.0, math.inf)


def test_mixed_quantities_and_nothing_at_all_are_refused() -> None:
    with pytest.raises(ValueError, match="found none"):
        pooled([])
    with pytest.raises(ValueError, match="one quantity of one channel"):
        pooled([made("wow", 0.1), made("flutter", 0.1)])


@pytest.mark.parametrize("takes", [2, 3, 5])
def test_the_interval_of_the_mean_covers_the_truth(takes: int) -> None:
    """600 states whose takes scatter five times more than their budgets say: 92 to 98 % hold the truth."""
    rng = np.random.default_rng(takes)
    hits = []
    for _ in range(600):
        disc = rng.uniform(-0.05, 0.05)
        values = disc + rng.normal(0.0, 0.05, takes)
        state = pooled([made("wow", v, Contribution("noise", 0.01), rectangular("disc", 0.05)) for v in values])
        hits.append(abs(state.value) <= state.uncertainty)
    assert 0.92 <= np.mean(hits) <= 0.98
