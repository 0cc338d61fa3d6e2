"""Rates of rotating parts: trade practice 4.2 and cases 1 and 3, published values 17 (flat-belt theory, derived)."""

from __future__ import annotations

import math

import pytest

from spindlewright.setup.next_moves.drive import wanted_thickness_mm
from spindlewright.setup.rotating_parts import rates_to_mark, rotating_parts

THIRTY_THREE = 100.0 / 3.0


def rates(*arguments: object, **named: object) -> dict[str, float]:
    return {part.name: part.rate_hz for part in rotating_parts(*arguments, **named)}  # type: ignore[arg-type]


@pytest.mark.parametrize(("rpm", "hz"), [(THIRTY_THREE, 0.556), (45.0, 0.75), (78.26, 1.30)])
def test_the_platter(rpm: float, hz: float) -> None:
    assert rates(rpm, "unknown")["platter"] == pytest.approx(hz, abs=0.006)


@pytest.mark.parametrize(("rpm", "hz"), [(THIRTY_THREE, 2.50), (45.0, 3.38)])
def test_the_idler_of_case_3(rpm: float, hz: float) -> None:
    """Rim 270, idler 60 mm: 2.50 Hz at 33, 3.38 at 45."""
    assert rates(rpm, "idler", {"rim_mm": 270, "idler_mm": 60})["idler"] == pytest.approx(hz, abs=0.006)


@pytest.mark.parametrize(
    ("pulley", "hub", "thickness", "ratio"),
    [
        (12.0, 167.0, 0.0001, 0.0718563),
        (12.0, 167.0, 0.5, 0.0746269),
        (12.0, 167.0, 0.6, 0.0751790),
        (12.0, 167.0, 0.8, 0.0762813),
        (12.0, 300.0, 0.6, 0.0419162),
    ],
)
def test_the_belt_ratios_of_published_values_17(pulley: float, hub: float, thickness: float, ratio: float) -> None:
    sizes = {"pulley_mm": pulley, "hub_mm": hub, "belt_thickness_mm": thickness}
    found = rates(THIRTY_THREE, "belt", sizes)
    assert found["platter"] / found["pulley and motor"] == pytest.approx(ratio, abs=1e-6)


def test_the_pulleys_of_published_values_17() -> None:
    """33 1/3 rpm, sub-platter 160, t 0.6: pulley 17.244 for 300 rpm, 20.813 for 250 rpm (to 0.001 mm: 3e-5)."""
    for pulley, motor_rpm in ((17.244, 300.0), (20.813, 250.0)):
        sizes = {"pulley_mm": pulley, "hub_mm": 160.0, "belt_thickness_mm": 0.6}
        assert 60.0 * rates(THIRTY_THREE, "belt", sizes)["pulley and motor"] == pytest.approx(motor_rpm, rel=3e-5)


def test_the_belt_turns_slower_than_the_platter() -> None:
    """f_belt = f_p π (hub + t)/length; the open path of published values 17 (12, 167, centres 130: 588.92 mm) longer
    than the way round the hub."""
    sizes = {"hub_mm": 167.0, "belt_thickness_mm": 0.6, "belt_length_mm": 588.92}
    found = rates(THIRTY_THREE, "belt", sizes)
    assert found["belt"] == pytest.approx(THIRTY_THREE / 60.0 * math.pi * 167.6 / 588.92, rel=1e-12)
    assert 0.48 < found["belt"] < found["platter"]


@pytest.mark.parametrize(
    ("poles", "mains", "rpm"), [(24, 50.0, 250.0), (24, 60.0, 300.0), (16, 50.0, 375.0), (16, 60.0, 450.0)]
)
def test_synchronous_motors(poles: int, mains: float, rpm: float) -> None:
    """rpm = 120 × mains / poles (trade practice 4.2, confirmed by one engineer's page)."""
    found = rates(THIRTY_THREE, "belt", {"motor_poles": poles}, mains, "synchronous")
    assert 60.0 * found["motor"] == pytest.approx(rpm)


def test_a_speed_has_its_own_step() -> None:
    """Case 1: 375 rpm motor, hub 160.0, steps 13.5 and 18.5 mm, belt 0.80 mm."""
    sizes = {"hub_mm": 160.0, "pulley_mm": 13.5, "pulley_45_mm": 18.5, "belt_thickness_mm": 0.8}
    for rpm in (375.0 * 14.3 / 160.8, 375.0 * 19.3 / 160.8):
        assert 60.0 * rates(rpm, "belt", sizes)["pulley and motor"] == pytest.approx(375.0, rel=1e-9)


@pytest.mark.parametrize(("step", "percent"), [(13.5, -2.2), (18.5, -1.6)])
def test_the_thin_belt_of_case_1(step: float, percent: float) -> None:
    """0.80 to 0.45 mm is -2.2 % at 33 and -1.6 % at 45: the thickness wanted comes back as 0.80 mm."""
    deviation = 100.0 * ((step + 0.45) / 160.45 / ((step + 0.8) / 160.8) - 1.0)
    assert deviation == pytest.approx(percent, abs=0.05)
    assert wanted_thickness_mm(deviation, 160.0, step, 0.45) == pytest.approx(0.80, abs=1e-9)


def test_families_are_marked_by_their_multiples() -> None:
    parts = rotating_parts(THIRTY_THREE, "idler", {"rim_mm": 270, "idler_mm": 60})
    assert rates_to_mark(parts)["idler"] == pytest.approx((2.5, 5.0, 7.5))
