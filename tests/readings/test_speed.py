"""Speed, rate of rotation and drift from phase tracks whose speed is put in as a closed form."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from phase_scene import Played, by_quantity, heard, played

from spindlewright.readings.speed import Speed
from spindlewright.signal.slow_track import SlowTrack

ONE_TURN = (1.0, 1e-3, 0.7)
BELT = (0.918, 3e-4, 2.0)
MOTOR = (9.0, 4e-4, 1.0)


@pytest.mark.parametrize("speed", [-0.06, -0.0028, 0.0, 0.06])
def test_speed_and_rate_of_rotation(speed: float) -> None:
    readings = by_quantity(heard(Speed(), played(40.0, [ONE_TURN, BELT, MOTOR], speed=speed, noise_rad=3e-3)))
    assert readings["speed_deviation"].value == pytest.approx(100.0 * speed, abs=0.003)
    assert readings["rotation_rate"].value == pytest.approx(100.0 / 3.0 * (1.0 + speed), rel=3e-5)
    assert readings["rotation_rate"].conditions["deviation_percent"] == readings["speed_deviation"].value


def test_drift_and_speed_at_the_centre() -> None:
    tone = played(45.0, [ONE_TURN, MOTOR], speed=0.01, drift_per_s=5e-5, noise_rad=3e-3)
    readings = by_quantity(heard(Speed(), tone))
    assert readings["speed_drift"].value == pytest.approx(0.3, abs=0.02)  # 5e-5 per s is 0.3 % a minute
    assert readings["speed_deviation"].value == pytest.approx(1.0, abs=0.003)


def test_speed_is_given_for_the_centre_of_the_band_not_of_the_stretch_heard() -> None:
    tone = played(40.0, drift_per_s=1e-4)
    late = dataclasses.replace(tone, view=tone.view[4000:])  # two seconds less, so one second later in the middle
    band_state = Played(late.view, tone.carrier_hz, tone.nominal_hz, 38.0, tone.rpm, tone.deviation, start_s=2.0)
    whole, part = (by_quantity(heard(Speed(), one))["speed_deviation"].value for one in (tone, band_state))
    assert whole == pytest.approx(0.4, abs=1e-4)
    assert part == pytest.approx(0.41, abs=1e-4)  # 1e-4 per s over one second is 0.01 %


def test_no_drift_from_less_than_twenty_seconds() -> None:
    assert set(by_quantity(heard(Speed(), played(15.0)))) == {"speed_deviation", "rotation_rate"}


def test_disc_and_clock_are_in_the_speed_and_not_in_the_drift() -> None:
    readings = by_quantity(heard(Speed(), played(30.0)))
    budget = {line.name: line.standard_uncertainty for line in readings["speed_deviation"].budget}
    scale = 1.004
    assert budget["disc"] == pytest.approx(scale * 0.1 / np.sqrt(3.0))
    assert budget["clock"] == pytest.approx(scale * 0.01 / np.sqrt(3.0))
    assert {"disc", "clock"}.isdisjoint(line.name for line in readings["speed_drift"].budget)
    assert readings["speed_deviation"].uncertainty == pytest.approx(scale * 0.0955, abs=0.002)


def test_slow_drift_of_level_and_ticks_change_nothing() -> None:
    plain = by_quantity(heard(Speed(), played(40.0, [ONE_TURN])))
    troubled = by_quantity(heard(Speed(), played(40.0, [ONE_TURN], level_sway=0.1, ticks=60)))
    assert troubled["speed_deviation"].value == pytest.approx(plain["speed_deviation"].value, abs=1e-4)


@pytest.mark.parametrize("block", [1, 127, 4096, 100_000])
def test_block_size_changes_nothing(block: int) -> None:
    tone = played(21.0, [ONE_TURN], noise_rad=0.01)
    one, other = (by_quantity(heard(Speed(), tone, block=size)) for size in (2600, block))
    for quantity, reading in one.items():
        assert other[quantity].value == pytest.approx(reading.value, rel=1e-9)
        assert other[quantity].uncertainty == pytest.approx(reading.uncertainty, rel=1e-9)


def test_asking_early_does_not_disturb() -> None:
    tone = played(30.0, [ONE_TURN])
    track = SlowTrack(2000.0)
    track.feed(tone.view[:30_001])
    track.result()
    track.feed(tone.view[30_001:])
    whole = SlowTrack(2000.0)
    whole.feed(tone.view)
    np.testing.assert_array_equal(track.result().phase_rad, whole.result().phase_rad)
    assert len(whole.result().phase_rad) <= 50 * 30  # bounded memory: at most 50 values a second


def test_mean_speed_reaches_the_bound_of_cramer_and_rao() -> None:
    """sd of the frequency of white phase noise s per sample, slope of a line: s sqrt(12 / (n³)) f_s / (2 pi)
    (Rife & Boorstyn 1974, from memory; published values 18). Fitted quadratics keep the linear term's variance."""
    noise, seconds, rate = 0.02, 4.0, 2000.0
    found = []
    for seed in range(80):
        tone = played(seconds, noise_rad=noise, rng=np.random.default_rng(seed))
        found.append(by_quantity(heard(Speed(), tone))["speed_deviation"].value / 100.0 * 3150.0)
    n = seconds * rate
    bound = noise * np.sqrt(12.0 / n**3) * rate / (2.0 * np.pi)
    assert np.std(found) < 1.5 * bound


def test_noise_line_of_the_budget_is_the_scatter_seen() -> None:
    values, stated = [], []
    for seed in range(80):
        tone = played(4.0, noise_rad=0.02, rng=np.random.default_rng(seed))
        reading = by_quantity(heard(Speed(), tone))["speed_deviation"]
        values.append(reading.value)
        stated.append(next(line.standard_uncertainty for line in reading.budget if line.name == "noise"))
    assert np.median(stated) == pytest.approx(np.std(values), rel=0.25)


def test_deviation_curve_follows_the_line() -> None:
    curve = next(c for c in heard(Speed(), played(20.0, [(1.0, 2e-3, 0.0)])).curves if c.name == "deviation")
    assert len(curve.x) == len(curve.y) <= 6000
    assert np.ptp(curve.y) == pytest.approx(0.4, rel=0.02)
