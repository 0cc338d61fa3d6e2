"""Figures, times and verdicts as pages show them. Expected words are written out by hand from product.md's rules."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from spindlewright.readings.reading import Limit, Reading
from spindlewright.web import filters
from spindlewright.web.rendering import templates


def _reading(verdict: str | None = None, **conditions: object) -> Reading:
    limit = Limit(-0.3, 0.3, "a source") if verdict else None
    return Reading(
        "speed_deviation", -0.5921, "%", 0.0954, (), "tone", "s", conditions=conditions, limit=limit, verdict=verdict
    )


def _plain(words: str) -> str:
    return words.replace(filters.NO_BREAK, " ")


def test_a_reading_has_its_uncertainty_the_true_minus_and_does_not_break() -> None:
    assert filters.measured(_reading()) == "−0.592\N{NO-BREAK SPACE}±\N{NO-BREAK SPACE}0.095\N{NO-BREAK SPACE}%"


def test_verdicts_are_words() -> None:
    assert filters.verdict_words(_reading("within")) == "within"
    assert filters.verdict_words(_reading("outside")) == "outside"
    assert filters.verdict_words(_reading()) == ""
    told = _plain(filters.verdict_words(_reading("undecided")))
    assert told == "too close to call, because ±0.095 % reaches across the limit."
    told = filters.verdict_words(_reading("undecided", undecided_because="the disc is not known", next_move="look"))
    assert told == "too close to call, because the disc is not known. Next: look."
    assert _plain(filters.limit_words(_reading("outside"))) == "−0.3 to +0.3 %"


@pytest.fixture
def three_hours_east(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "XXX-3")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def test_times_are_those_of_the_bench_computer(three_hours_east: None) -> None:
    moment = datetime(2026, 11, 30, 22, 5, tzinfo=UTC)
    assert _plain(filters.when(moment)) == "1 Dec 2026, 01:05"
    assert _plain(filters.day(moment)) == "1 Dec 2026"
    assert filters.when(None) == filters.day(None) == ""


def test_sums_and_speeds() -> None:
    assert _plain(filters.money(Decimal("79.5"), "EUR")) == "79.50 EUR"
    assert filters.money(None, "EUR") == ""
    assert [filters.rpm_words(rpm) for rpm in (100 / 3, 45.0, 3600 / 46, 50 / 3, 77.922)] == [
        *("33⅓", "45", "78", "16⅔", "77.92")
    ]


def test_a_name_a_template_does_not_get_is_an_error() -> None:
    from jinja2 import UndefinedError

    with pytest.raises(UndefinedError):
        templates().from_string("{{ nothing }}").render()
