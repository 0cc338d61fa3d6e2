"""Readings typed in from scale, callipers, meter and stopwatch."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spindlewright.readings.hand_readings import HAND_QUANTITIES, HandReadingError, hand_reading
from spindlewright.standards.limit_quantities import QUANTITY_UNITS


@pytest.mark.parametrize(
    ("grams", "mn"),
    [(0.5, 4.903), (1.0, 9.807), (1.25, 12.26), (1.5, 14.71), (1.75, 17.16), (2.0, 19.61), (2.5, 24.52), (3.0, 29.42)],
)
def test_grams_become_millinewtons(grams: float, mn: float) -> None:
    """The table of published values 20 (derived)."""
    assert hand_reading("tracking_force", f"{grams} g").value == pytest.approx(mn, abs=0.006)


@pytest.mark.parametrize(
    ("quantity", "typed", "value", "unit"),
    [
        ("tracking_force", "17,7mN", 17.7, "mN"),
        ("pivot_to_spindle", "8.5in", 215.9, "mm"),
        ("overhang", "-15.5", -15.5, "mm"),
        ("overhang", "1,78 cm", 17.8, "mm"),
        ("start_time", "3,4", 3.4, "s"),
        ("coast_down_time", "1.5 min", 90.0, "s"),
        ("coil_resistance", "0.61k", 610.0, "Ω"),
        ("coil_resistance", "610 \u2126", 610.0, "Ω"),
        ("arm_to_lead_resistance", "400 mΩ", 0.4, "Ω"),
        ("insulation_resistance", "500 kΩ", 0.5, "MΩ"),
        ("insulation_resistance", "2", 2.0, "MΩ"),
        ("belt_length", "62 cm", 620.0, "mm"),
    ],
)
def test_units_and_decimal_commas(quantity: str, typed: str, value: float, unit: str) -> None:
    """Inch 25.4 mm and prefixes exactly."""
    reading = hand_reading(quantity, typed)
    assert reading.value == pytest.approx(value)
    assert reading.unit == unit
    assert reading.method == "by hand"
    assert reading.conditions["typed"] == typed


def test_units_are_those_of_the_contract() -> None:
    assert {row.quantity: row.unit for row in HAND_QUANTITIES.values()} == {
        quantity: QUANTITY_UNITS[quantity] for quantity in HAND_QUANTITIES
    }
    named = {"tracking_force", "start_time", "coast_down_time", "pivot_to_spindle", "effective_length", "overhang"}
    named |= {"arm_height", "coil_resistance", "arm_to_lead_resistance", "protective_earth_resistance"}
    assert set(HAND_QUANTITIES) == named | {"insulation_resistance", "belt_length"}


def test_force_is_shown_in_grams_too() -> None:
    assert hand_reading("tracking_force", "17.65197 mN").conditions["shown"] == "1.8 g"


def test_uncertainty_typed_counts_and_the_last_digit_is_added() -> None:
    """0.05 g at 95 % is 0.4903 mN; the last digit of 1.80 g adds ±0.049 mN, rectangular: together a little more."""
    reading = hand_reading("tracking_force", "1.80 g", "shop scale", "0.05")
    assert 0.4903 < reading.uncertainty < 0.4903 * 1.01
    assert reading.conditions["instrument"] == "shop scale"
    coarse = hand_reading("tracking_force", "2 g", uncertainty="0.05 g")
    assert coarse.uncertainty == pytest.approx(0.5 * 9.80665 * 0.95, rel=0.05), "±0.5 g of a whole gram leads"
    in_mn = hand_reading("tracking_force", "1.80 g", uncertainty="0.5 mN")
    assert in_mn.uncertainty == pytest.approx(0.5, rel=0.01)


def test_the_usual_uncertainty_is_named_as_such() -> None:
    """Stylus scale with a check weight 0.02 to 0.05 g, pivot to spindle 0.5 mm, overhang 0.3 mm (practice 3.1)."""
    force = hand_reading("tracking_force", "1.800 g")
    assert 0.02 * 9.80665 < force.uncertainty < 0.05 * 9.80665
    assert "usual" in str(force.conditions["uncertainty_from"])
    assert hand_reading("pivot_to_spindle", "215.00").uncertainty == pytest.approx(0.5, rel=0.01)
    assert hand_reading("overhang", "17.80").uncertainty == pytest.approx(0.3, rel=0.02)


def test_a_meter_out_of_range_gives_a_lower_bound() -> None:
    reading = hand_reading("insulation_resistance", ">200")
    assert reading.conditions["at_least"] is True
    assert reading.value == 200.0
    with pytest.raises(HandReadingError, match="for example >20M"):
        hand_reading("arm_to_lead_resistance", "OL")
    with pytest.raises(HandReadingError, match="bound is of no use"):
        hand_reading("tracking_force", ">2g")


def test_a_channel_is_kept_where_there_are_two() -> None:
    assert hand_reading("coil_resistance", "610", channel="left").channel == "left"
    assert hand_reading("overhang", "17", channel="left").channel is None


@pytest.mark.parametrize(
    ("quantity", "typed", "words"),
    [
        ("tracking_force", "1.8", "found no unit; type it with its unit, like 1.8g"),
        ("tracking_force", "1.8 kg", "found the unit 'kg', allowed are mN"),
        ("tracking_force", "180 g", "real ones lie from 1 to 150 mN"),
        ("tracking_force", "", "type a number like 1.8g"),
        ("pivot_to_spindle", "21.5", "real ones lie from 100 to 500 mm"),
        ("overhang", "seventeen", "type a number like 215.5"),
        ("overhang", "1.234,5", "found '1.234,5'"),
        ("arm_to_lead_resistance", "20m", "found the unit 'm'"),
        ("trackng_force", "1.8g", "did you mean tracking_force"),
        ("loudness", "11", "known are tracking_force"),
    ],
)
def test_what_can_not_be_is_refused_with_what_to_do(quantity: str, typed: str, words: str) -> None:
    with pytest.raises(HandReadingError) as caught:
        hand_reading(quantity, typed)
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_an_uncertainty_that_is_none_is_refused() -> None:
    with pytest.raises(HandReadingError, match="uncertainty"):
        hand_reading("overhang", "17", uncertainty="much")
    with pytest.raises(HandReadingError, match="from 0 up"):
        hand_reading("overhang", "17", uncertainty=-1.0)


@given(st.text(max_size=20))
def test_whatever_is_typed_gives_a_reading_or_one_clear_line(typed: str) -> None:
    for quantity in ("tracking_force", "insulation_resistance"):
        said = ""
        try:
            reading = hand_reading(quantity, typed)
        except HandReadingError as refusal:
            said = str(refusal)
        assert HAND_QUANTITIES[quantity].title in said if said else reading.uncertainty > 0.0
