"""Rounding and words of the printed page. Witness for rounding: GUM 7.2.6, two digits of the uncertainty."""

from __future__ import annotations

import pytest

from spindlewright.wording import clock, decimals_for, figures, length_in_words, limit_in_words, listed, title


@pytest.mark.parametrize(
    ("value", "uncertainty", "printed"),
    [
        (0.41342, 0.0951, "0.413 ± 0.095"),
        (33.47113, 0.0317, "33.471 ± 0.032"),
        (-28.304, 0.3, "−28.30 ± 0.30"),
        (0.19623, 0.0061, "0.1962 ± 0.0061"),
        (12.4, 12.0, "12 ± 12"),
        (1234.5, 345.0, "1234 ± 345"),
        (50.0, 0.0, "50.00 ± 0.00"),
    ],
)
def test_two_digits_of_the_uncertainty_and_as_many_places_of_the_value(
    value: float, uncertainty: float, printed: str
) -> None:
    places = decimals_for(uncertainty, value)
    assert f"{figures(value, places)} ± {figures(uncertainty, places)}" == printed


def test_zero_has_no_sign() -> None:
    assert figures(-0.0001, 2) == "0.00"
    assert figures(0.0, 1, signed=True) == "0.0"
    assert figures(0.004, 2, signed=True) == "0.00"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (None, 0.2, "up to 0.2"),
        (-1.0, 1.5, "−1 to +1.5"),
        (20.0, None, "at least 20"),
        (None, -35.0, "up to −35"),
        (None, None, ""),
    ],
)
def test_limits_in_words(low: float | None, high: float | None, words: str) -> None:
    assert limit_in_words(low, high) == words


def test_times() -> None:
    assert clock(62.06) == "1:02.1"
    assert clock(59.96) == "1:00.0"
    assert length_in_words(163.25) == "2 min 43 s"
    assert length_in_words(59.97) == "60.0 s"


def test_lists_and_titles() -> None:
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert title("rumble_weighted", "lateral") == "Rumble, weighted, lateral"
    assert title("never_heard_of") == "Never heard of"
