"""A stored reading in words: verdict, limit, bound, and the other bands, as contract and product page word them."""

from __future__ import annotations

from typing import Any

from spindlewright.reading_words import (
    WITHOUT_VELOCITY,
    elsewhere,
    limit_of,
    limit_sources,
    lines_by_subject,
    main_readings,
    measured,
    verdict_in_words,
)


def stored(value: float = 0.21, **more: Any) -> dict[str, Any]:
    """A weighted flutter with the limit of 0.2 %."""
    return {
        "quantity": "wow_flutter_weighted",
        "value": value,
        "unit": "%",
        "uncertainty": 0.02,
        "channel": None,
        "band": 0,
        "conditions": {"main": True},
        "limit": {"low": None, "high": 0.2, "source": "a published limit"},
        "verdict": "undecided",
        **more,
    }


def test_too_close_to_call_says_why_and_what_to_do() -> None:
    assert verdict_in_words(stored()) == "too close to call, because ±0.020 % reaches across the limit."
    advised = stored(conditions={"undecided_because": "the disc is not known", "next_move": "measure this disc once"})
    assert verdict_in_words(advised) == (
        "too close to call, because the disc is not known. Next: measure this disc once."
    )


def test_verdicts_and_their_absence() -> None:
    assert verdict_in_words(stored(verdict="within")) == "within"
    assert verdict_in_words(stored(verdict="outside")) == "outside"
    assert verdict_in_words(stored(verdict=None, limit=None)) == ""
    assert verdict_in_words(stored(verdict=None, conditions={"velocity_known": False})) == WITHOUT_VELOCITY


def test_value_bound_and_limit() -> None:
    assert measured(stored()) == "0.210 ± 0.020 %"
    assert measured(stored(0.0021, conditions={"below_noise": True})) == "under 0.0021 %"
    assert limit_of(stored()) == "up to 0.2 %"
    assert limit_of(stored(limit=None)) == ""
    assert limit_sources([stored(), stored(), stored(limit=None)]) == ["a published limit"]


def test_the_main_band_speaks_and_the_others_are_named() -> None:
    other = stored(0.25, band=3, conditions={"main": False})
    both = [other, stored()]
    assert main_readings(both) == [both[1]]
    assert elsewhere(both).replace("\N{NO-BREAK SPACE}", " ") == "also 0.250 in band 3"
    assert elsewhere([stored()]) == ""
    assert elsewhere([]) == ""


def test_lines_of_a_table() -> None:
    other = stored(0.25, band=3, conditions={"main": False})
    ((heading, (line,)),) = lines_by_subject([stored(), other])
    assert heading == "Wow and flutter"
    assert (line.title, line.measured, line.limit) == ("Weighted, two-sigma", "0.210 ± 0.020 %", "up to 0.2 %")
    assert line.verdict == "too close to call"
    assert line.because == "because ±0.020 % reaches across the limit."
    assert line.also.endswith("band\N{NO-BREAK SPACE}3")
    ((_, (free,)),) = lines_by_subject([stored(verdict=None, conditions={"velocity_known": False})])
    assert (free.verdict, free.because) == ("", WITHOUT_VELOCITY)
    ((_, (kept,)),) = lines_by_subject([stored(verdict="within")])
    assert (kept.verdict, kept.because) == ("within", "")
