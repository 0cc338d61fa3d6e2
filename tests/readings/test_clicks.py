"""Clicks put in at known places are counted, mains buzz is not; Poisson limits against tables."""

from __future__ import annotations

import numpy as np
import pytest
from quiet_scene import quiet_band, through_listener
from scipy import stats

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.clicks import MANY_PER_MINUTE, ClickCount, Clicks, poisson_limits
from spindlewright.readings.method import Observation
from spindlewright.readings.side import Side

RATE_HZ = 48_000


def _sound(seconds: float, places_s: np.ndarray, seed: int = 1) -> np.ndarray:
    sound = 1e-3 * np.random.default_rng(seed).standard_normal((round(seconds * RATE_HZ), 2))
    for place in places_s:
        first = round(place * RATE_HZ)
        sound[first : first + 8, int(place * 1000.0) % 2] += 0.2 * np.hanning(10)[1:-1]
    return sound


def test_counts_what_was_put_in() -> None:
    places = np.arange(0.5, 29.0, 0.713)
    reading = through_listener(Clicks(), _sound(30.0, places), RATE_HZ).readings[0]
    assert reading.value == pytest.approx(2.0 * len(places))
    assert reading.conditions["clicks"] == len(places)
    assert reading.conditions["bands"] == [3]


def test_nearer_than_5_ms_counts_as_one() -> None:
    places = np.array([1.0, 1.003, 2.0, 2.012, 3.0])
    assert through_listener(Clicks(), _sound(5.0, places), RATE_HZ).readings[0].conditions["clicks"] == 4


def test_tone_is_taken_out() -> None:
    """A 3150 Hz tone 20 dB louder than the clicks, with 0.3 % of wow."""
    places = np.arange(0.5, 9.0, 0.5)
    sound = _sound(10.0, places)
    time_s = np.arange(len(sound)) / RATE_HZ
    sound += 0.7 * np.cos(2 * np.pi * 3150.0 * time_s + 17.0 * np.sin(2 * np.pi * 0.5556 * time_s))[:, None]
    band = Band(0, 10.0, 20.0, "tone", Levels(-3.0, -3.0), frequency_hz=3150.0)
    assert through_listener(Clicks(), sound, RATE_HZ, band).readings[0].conditions["clicks"] == len(places)


def test_mains_buzz_is_not_clicks() -> None:
    """A pulse in each mains cycle, 100 orders in phase."""
    sound = _sound(10.0, np.array([]))
    time_s = np.arange(len(sound)) / RATE_HZ
    sound += sum(0.003 * np.cos(2 * np.pi * 50.0 * order * time_s) for order in range(1, 101))[:, None]
    reading = through_listener(Clicks(), sound, RATE_HZ).readings[0]
    assert reading.conditions["clicks"] == 0
    assert reading.conditions["per_band"][0]["mains_pulses_left_out"] > 400


def test_bands_are_counted_together() -> None:
    method = Clicks()
    seen = [
        Observation(quiet_band(60.0, index=1), ClickCount(4, 0, 60.0)),
        Observation(quiet_band(30.0, index=2), ClickCount(5, 0, 30.0)),
    ]
    outcome = method.conclude(seen, Side(sample_rate_hz=RATE_HZ), {})
    assert outcome.readings[0].value == pytest.approx(6.0)
    assert outcome.readings[0].band is None
    assert outcome.readings[0].conditions["bands"] == [1, 2]
    assert outcome.fitness == ()


def test_many_clicks_are_a_warning() -> None:
    count = round(MANY_PER_MINUTE) + 1
    outcome = Clicks().conclude(
        [Observation(quiet_band(60.0), ClickCount(count, 0, 60.0))], Side(sample_rate_hz=RATE_HZ), {}
    )
    assert [(item.code, item.severity) for item in outcome.fitness] == [("many_ticks", "warn")]


@pytest.mark.parametrize("count", [0, 1, 7, 60])
def test_poisson_limits_are_the_exact_ones(count: int) -> None:
    """Chance of at most (at least) so many at the upper (lower) limit is 2.5 % (scipy.stats)."""
    low, high = poisson_limits(count)
    assert stats.poisson.cdf(count, high) == pytest.approx(0.025, abs=1e-9)
    if count:
        assert stats.poisson.sf(count - 1, low) == pytest.approx(0.025, abs=1e-9)
    else:
        assert low == 0.0
