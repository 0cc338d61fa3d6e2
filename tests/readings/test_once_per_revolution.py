"""The once-per-turn line: peak and phase against closed forms, and what stands in its way."""

from __future__ import annotations

import math

import numpy as np
import pytest
from phase_scene import by_quantity, heard, played

from spindlewright.readings.once_per_revolution import OncePerRevolution
from spindlewright.readings.reading import Reading


def reading_of(*args: object, **more: object) -> Reading:
    return by_quantity(heard(OncePerRevolution(), played(*args, **more)))["once_per_revolution"]  # type: ignore[arg-type]


@pytest.mark.parametrize("peak", [2e-4, 1e-3, 3.55e-3])
@pytest.mark.parametrize("seconds", [8.0, 40.0])
def test_peak(peak: float, seconds: float) -> None:
    lines = [(1.0, peak, 0.3), (2.0, 2e-4, 1.0), (3.0, 1e-4, 2.0), (9.0, 3e-4, 0.0)]
    reading = reading_of(seconds, lines, noise_rad=2e-3, speed=0.01)
    assert reading.value == pytest.approx(100.0 * peak, rel=0.04, abs=0.004)
    assert abs(reading.value - 100.0 * peak) <= reading.uncertainty


@pytest.mark.parametrize("phase_deg", [-150.0, 0.0, 90.0])
def test_phase_is_that_of_the_cosine_at_the_onset_in_disc_angle(phase_deg: float) -> None:
    seconds, speed = 30.0, -0.02
    turned_deg = 360.0 * 100.0 / 180.0 * (1.0 + speed) * 0.5 * seconds  # from the onset to the middle
    at_middle = math.radians(phase_deg + turned_deg)
    reading = reading_of(seconds, [(1.0, 1e-3, at_middle)], speed=speed)
    assert reading.conditions["phase_deg"] == pytest.approx(phase_deg, abs=0.2)
    assert reading.conditions["rate_hz"] == pytest.approx(100.0 / 180.0 * (1.0 + speed), rel=1e-4)


def test_drift_does_not_smear_the_line_of_a_long_band() -> None:
    reading = reading_of(300.0, [(1.0, 1e-3, 0.0)], drift_per_s=1e-5)  # over the band the rate moves by five lines
    assert reading.value == pytest.approx(0.1, rel=0.01)


def test_belt_line_is_told_apart_in_a_long_band() -> None:
    reading = reading_of(45.0, [(1.0, 1e-3, 0.0), (0.918, 5e-4, 1.0)])
    assert reading.value == pytest.approx(0.1, rel=0.01)
    belt = [line for line in reading.conditions["other_lines"] if line["frequency_hz"] < 0.54]
    assert belt[0]["peak_percent"] == pytest.approx(0.05, rel=0.02)
    assert belt[0]["frequency_hz"] == pytest.approx(0.918 * 100.0 / 180.0 * 1.004, abs=0.002)


def test_belt_line_too_near_to_be_told_apart_is_in_the_uncertainty() -> None:
    for phase in np.linspace(0.0, 2.0 * math.pi, 7)[:-1]:
        reading = reading_of(9.0, [(1.0, 1e-3, 0.0), (0.918, 3e-4, float(phase))])
        assert abs(reading.value - 0.1) <= reading.uncertainty
        lines = {line.name: line.standard_uncertainty for line in reading.budget}
        assert lines["neighbouring lines"] > lines["noise"]


def test_nothing_but_random_flutter_gives_an_upper_bound() -> None:
    below = 0
    for seed in range(20):
        reading = reading_of(20.0, random_flutter=(3e-4, 0.3, 40.0), rng=np.random.default_rng(seed))
        below += bool(reading.conditions["below_noise"])
        assert reading.value < 0.03
        assert reading.value - reading.uncertainty <= 1e-9 or not reading.conditions["below_noise"]
    assert below >= 12


def test_less_than_two_turns_gives_nothing() -> None:
    tone = played(3.0)
    with pytest.raises(AssertionError):
        heard(OncePerRevolution(), tone)


@pytest.mark.parametrize("block", [1, 127, 65_536])
def test_block_size_changes_nothing(block: int) -> None:
    tone = played(12.0, [(1.0, 1e-3, 0.0)], noise_rad=0.01)
    one, other = (by_quantity(heard(OncePerRevolution(), tone, block=b))["once_per_revolution"] for b in (2600, block))
    assert other.value == pytest.approx(one.value, rel=1e-9)
    assert other.uncertainty == pytest.approx(one.uncertainty, rel=1e-9)


def test_curve_by_angle_repeats_every_turn() -> None:
    outcome = heard(OncePerRevolution(), played(20.0, [(1.0, 1e-3, 0.0)]))
    curve = next(c for c in outcome.curves if c.name == "deviation_by_angle")
    first = curve.y[curve.x < 360.0]
    second = curve.y[(curve.x >= 360.0) & (curve.x < 720.0)]
    assert len(first) == len(second) == 72
    np.testing.assert_allclose(first, second, atol=0.003)
    assert np.max(first) == pytest.approx(0.1, abs=0.005)
