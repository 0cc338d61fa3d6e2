"""Numbers as people type them. Witnesses: 1 in is 25.4 mm exactly; 33⅓ is 100/3, 78 is 3600/46 (contract)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spindlewright.typed_numbers import length_mm, number, pair_of_lengths_mm, rpm


@pytest.mark.parametrize(
    ("typed", "millimetres"),
    [
        ("230", 230.0),
        ("230mm", 230.0),
        ("23,0 cm", 230.0),
        ("0.23m", 230.0),
        ("0,23 m", 230.0),
        ("9in", 228.6),
        ('9"', 228.6),
    ],
)
def test_lengths_in_every_unit(typed: str, millimetres: float) -> None:
    assert length_mm(typed) == pytest.approx(millimetres, abs=1e-9)


@pytest.mark.parametrize("typed", ["", "mm", "230 kg", "1.234,5", "1,234.5", "2 30", "nan", "inf", "1e999", "--5"])
def test_what_is_no_length_is_refused_with_the_text_in_the_message(typed: str) -> None:
    with pytest.raises(ValueError, match=r"type it like|not a length|too large"):
        length_mm(typed)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("33", 100 / 3),
        ("33⅓", 100 / 3),
        ("33 1/3", 100 / 3),
        ("45", 45.0),
        ("78", 3600 / 46),
        ("77,922", 77.922),
        ("33,3", 33.3),
        ("45rpm", 45.0),
    ],
)
def test_speeds_by_name_and_as_typed(typed: str, value: float) -> None:
    assert rpm(typed) == value


@pytest.mark.parametrize("typed", ["0", "-33", "3000", "fast", "", "nan"])
def test_what_is_no_speed_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match=r"type 33, 45, 78 or a number"):
        rpm(typed)


@pytest.mark.parametrize(
    ("typed", "pair"),
    [
        ("230mm,212mm", (230.0, 212.0)),
        ("230,212", (230.0, 212.0)),
        ("230.5,212.3", (230.5, 212.3)),
        ("230,5;212,3", (230.5, 212.3)),
        ("230,5mm,212,3mm", (230.5, 212.3)),
        ("9in, 212", (228.6, 212.0)),
        ("23cm;212mm", (230.0, 212.0)),
    ],
)
def test_two_lengths(typed: str, pair: tuple[float, float]) -> None:
    assert pair_of_lengths_mm(typed) == pytest.approx(pair, abs=1e-9)


@pytest.mark.parametrize("typed", ["230", "230,5,212", "230,5,212,3", "1;2;3", ";", ""])
def test_two_lengths_that_can_be_read_in_several_ways_are_refused(typed: str) -> None:
    with pytest.raises(ValueError, match="type"):
        pair_of_lengths_mm(typed)


@given(st.floats(min_value=-1e6, max_value=1e6, allow_nan=False))
def test_decimal_comma_and_point_mean_the_same(value: float) -> None:
    typed = f"{value:.6f}"
    assert number(typed) == number(typed.replace(".", ",")) == float(typed)


@given(st.text(max_size=12))
def test_any_text_gives_a_finite_number_or_a_clear_error(text: str) -> None:
    for read in (number, length_mm, rpm):
        try:
            value = read(text)
        except ValueError as problem:
            value = float(len(str(problem)))
            assert value > 0, "an error without words"
        assert math.isfinite(value)
