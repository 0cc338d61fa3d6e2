"""False alarms of "before against after": a deck that has not changed is called changed in at most 5 % of cases.

Witness: random draws of the errors that the budgets name (JCGM 101 clause 7, random draws), made with numpy alone. The
bound is the 99.9 % point of the binomial distribution round 5 %, so that chance alone can't fail it; a rule without
uncertainty, or one that counts too little, does. Each case also shows that it still sees a real change.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats

from readings.hand_made import made
from spindlewright.readings.comparison import compare
from spindlewright.readings.day_to_day import SEATING_MM, USUAL_HALF_WIDTHS
from spindlewright.readings.reading import Reading
from spindlewright.standards.jcgm_101_2008 import Contribution, rectangular

Draw = Callable[[np.random.Generator, float], tuple[list[Reading], list[Reading], dict[str, bool]]]
DAY = USUAL_HALF_WIDTHS["speed_deviation"]


def speeds(same_disc: bool, takes: tuple[int, int], spread: float = 0.0, noise: float = 0.004) -> Draw:
    """Speed of one deck on two days: disc ±0.1 %, clock ±0.01 %, noise; ``spread`` from take to take that no budget
    knows."""

    def draw(rng: np.random.Generator, change: float) -> tuple[list[Reading], list[Reading], dict[str, bool]]:
        disc = rng.uniform(-0.1, 0.1, 2)
        disc[1] = disc[0] if same_disc else disc[1]
        clock = rng.uniform(-0.01, 0.01)
        day = rng.uniform(-DAY, DAY)
        lines = (rectangular("disc", 0.1), rectangular("clock", 0.01), Contribution("noise", noise))
        states = []
        for state, count in enumerate(takes):
            own = rng.normal(0.0, np.hypot(noise, spread), count)
            values = -0.6 + state * (change + day) + disc[state] + clock + own
            states.append([made("speed_deviation", float(v), *lines, nominal_hz=3150.0) for v in values])
        return states[0], states[1], {"same_disc": same_disc, "same_recorder": True}

    return draw


def disc_seated_anew(rng: np.random.Generator, change: float) -> tuple[list[Reading], list[Reading], dict[str, bool]]:
    """Once per turn of a hole with 0.09 mm of play at 100 mm: the disc lies anywhere in it, along any direction."""
    sizes = []
    for state in range(2):
        own = 0.12 + state * change
        play = 100.0 * SEATING_MM / 100.0 * np.sqrt(rng.uniform()) * np.exp(2j * np.pi * rng.uniform())
        sizes.append(abs(own + play) + rng.normal(0.0, 0.003))
    states = [[made("once_per_revolution", float(v), Contribution("noise", 0.003))] for v in sizes]
    return states[0], states[1], {"same_disc": True}


def hum_near_the_noise(
    rng: np.random.Generator, change: float
) -> tuple[list[Reading], list[Reading], dict[str, bool]]:
    """A size of two standard deviations: now seen, now only a bound, as the engine gives it."""

    def take(true: float) -> Reading:
        seen = true + rng.normal(0.0, 1.0)
        if seen > 2.0:
            return made("clicks_per_minute", seen, Contribution("noise", 1.0), unit="1/min")
        return made("clicks_per_minute", max(seen, 0.0) + 1.645, unit="1/min", below_noise=True)

    return [take(2.0 + 0.0)], [take(2.0 + 12.0 * change)], {"same_disc": True}


CASES: dict[str, tuple[Draw, float, int]] = {
    "one take each, same disc": (speeds(True, (1, 1)), 0.08, 800),
    "one take each, two discs": (speeds(False, (1, 1)), 0.45, 500),
    "three takes each, scatter unknown": (speeds(True, (3, 3), spread=0.05), 0.6, 400),
    "two takes each, scatter unknown": (speeds(True, (2, 2), spread=0.05), 1.2, 400),
    "three before, one after": (speeds(True, (3, 1), spread=0.05), 1.2, 400),
    "disc seated anew": (disc_seated_anew, 0.6, 800),
    "near the noise": (hum_near_the_noise, 1.0, 1200),
}


@pytest.mark.parametrize("case", CASES)
def test_a_deck_that_has_not_changed_is_seldom_called_changed(case: str) -> None:
    draw, _, tries = CASES[case]
    rng = np.random.default_rng(20)
    alarms = sum(_alarmed(*draw(rng, 0.0)) for _ in range(tries))
    assert alarms <= stats.binom.ppf(0.999, tries, 0.05), f"{100.0 * alarms / tries:.1f} % false alarms"


@pytest.mark.parametrize("case", CASES)
def test_a_real_change_is_seen(case: str) -> None:
    draw, change, _ = CASES[case]
    rng = np.random.default_rng(21)
    assert np.mean([_alarmed(*draw(rng, change)) for _ in range(60)]) >= 0.9


def test_leaving_out_the_disc_would_be_caught() -> None:
    """The same draws with two discs, held to be one: far more than 5 % alarms, so the proof above can fail."""
    rng = np.random.default_rng(22)
    draw = speeds(False, (1, 1))
    alarms = 0
    for _ in range(200):
        before, after, same = draw(rng, 0.0)
        alarms += _alarmed(before, after, {**same, "same_disc": True})
    assert alarms > 100


def test_better_is_seldom_said_of_a_deck_that_got_worse() -> None:
    """Speeds near zero, where the disc's own error decides on which side they lie: a change for the worse is called
    "better" in at most 5 % of cases, whatever the disc."""
    rng = np.random.default_rng(23)
    wrong = tries = 0
    for _ in range(1500):
        true = rng.uniform(-0.15, 0.15, 2)
        if abs(true[1]) <= abs(true[0]):
            continue
        tries += 1
        disc = rng.uniform(-0.1, 0.1)
        lines = (rectangular("disc", 0.1), Contribution("noise", 0.002))
        values = true + disc + rng.normal(0.0, 0.002, 2)
        before, after = ([made("speed_deviation", float(v), *lines, nominal_hz=3150.0)] for v in values)
        wrong += compare(before, after, same_disc=True, same_recorder=True)[0].outcome == "better"
    assert tries > 500
    assert wrong / tries <= 0.05


def _alarmed(before: list[Reading], after: list[Reading], same: dict[str, bool]) -> bool:
    (one,) = compare(before, after, **same)
    return one.outcome != "no change shown"
