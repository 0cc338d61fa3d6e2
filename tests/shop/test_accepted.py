"""What was typed: taken as meant, or refused with the field, what was found and what is allowed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spindlewright.shop import accepted
from spindlewright.shop.errors import NotAccepted

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("typed", "expected"), [("80", "80.00"), ("79,50", "79.50"), (" 0 ", "0.00"), (Decimal("1.5"), "1.50")]
)
def test_sums(typed: str | Decimal, expected: str) -> None:
    assert str(accepted.money("stop sum", typed)) == expected


@pytest.mark.parametrize("nothing", [None, "", "  "])
def test_no_sum(nothing: str | None) -> None:
    assert accepted.money("stop sum", nothing) is None


@pytest.mark.parametrize("typed", ["-1", "1.234", "eighty", "1e9", "NaN", "Infinity", "1.000,50"])
def test_sums_that_are_not(typed: str) -> None:
    with pytest.raises(NotAccepted, match=r"stop sum: found .* allowed is a sum from 0 up") as problem:
        accepted.money("stop sum", typed)
    assert problem.value.field == "stop sum"


@given(st.text(max_size=150))
def test_a_line_stays_one_line_and_holds_no_control_sign(words: str) -> None:
    line = accepted.line("deck", words)
    assert "\n" not in line
    assert "\x00" not in line
    assert line == accepted.line("deck", line)
    line.encode("utf-8")


def test_long_and_missing_lines() -> None:
    with pytest.raises(NotAccepted, match="201 signs, allowed is up to 200"):
        accepted.line("deck", "x" * 201)
    with pytest.raises(NotAccepted, match="deck: found nothing"):
        accepted.line("deck", "  ", needed=True)


def test_times_are_kept_in_utc_and_not_in_the_future() -> None:
    two_hours_east = datetime(2026, 3, 1, 12, 0, tzinfo=timezone(timedelta(hours=2)))
    assert accepted.moment("when", two_hours_east, NOW) == datetime(2026, 3, 1, 10, 0, tzinfo=UTC)
    assert accepted.moment("when", None, NOW) == NOW
    with pytest.raises(NotAccepted, match="a time up to now"):
        accepted.moment("when", NOW + timedelta(days=2), NOW)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 0.0, 120.5])
def test_numbers_outside(value: float) -> None:
    with pytest.raises(NotAccepted, match="speed: found"):
        accepted.number("speed", value, 8.0, 120.0, "rpm")
