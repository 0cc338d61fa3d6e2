"""Guarded acceptance and rejection.

Source: JCGM 106:2012 8.3.2 and 8.3.3 (rule as the document describes it, clause numbers from memory); cases worked
by hand.
"""

import math

import pytest

from spindlewright.standards.jcgm_106_2012 import decide

CASES = [  # value, uncertainty, low, high, verdict
    (0.10, 0.02, None, 0.20, "within"),
    (0.18, 0.02, None, 0.20, "within"),  # the interval ends on the limit
    (0.1801, 0.02, None, 0.20, "undecided"),
    (0.20, 0.02, None, 0.20, "undecided"),
    (0.22, 0.02, None, 0.20, "undecided"),  # the interval begins on the limit
    (0.2201, 0.02, None, 0.20, "outside"),
    (-36.0, 0.5, None, -35.0, "within"),  # levels are negative
    (-34.0, 0.5, None, -35.0, "outside"),
    (-0.9, 0.05, -1.0, 1.5, "within"),
    (-0.99, 0.05, -1.0, 1.5, "undecided"),
    (-1.10, 0.05, -1.0, 1.5, "outside"),
    (1.40, 0.05, -1.0, 1.5, "within"),
    (1.60, 0.05, -1.0, 1.5, "outside"),
    (0.0, 3.0, -1.0, 1.5, "undecided"),  # wider than the limits
    (9.0, 1.0, 8.0, None, "within"),
    (6.9, 1.0, 8.0, None, "outside"),
    (0.2, 0.0, None, 0.2, "within"),  # no uncertainty: plain comparison
    (math.nan, 0.1, None, 0.2, "undecided"),
    (0.1, math.nan, None, 0.2, "undecided"),
    (0.1, math.inf, None, 0.2, "undecided"),
]


@pytest.mark.parametrize(("value", "uncertainty", "low", "high", "verdict"), CASES)
def test_cases(value: float, uncertainty: float, low: float | None, high: float | None, verdict: str) -> None:
    assert decide(value, uncertainty, low, high) == verdict


def test_never_within_when_the_interval_straddles_a_limit() -> None:
    for step in range(-40, 41):
        value, uncertainty = step / 10.0, 0.25
        verdict = decide(value, uncertainty, -1.0, 1.5)
        low_inside, high_inside = value - uncertainty >= -1.0, value + uncertainty <= 1.5
        assert (verdict == "within") == (low_inside and high_inside)
        assert (verdict == "outside") == (value + uncertainty < -1.0 or value - uncertainty > 1.5)


@pytest.mark.parametrize(
    ("uncertainty", "low", "high", "words"),
    [(-0.1, None, 1.0, "uncertainty"), (0.1, None, None, "neither"), (0.1, 2.0, 1.0, "above high")],
)
def test_refusals(uncertainty: float, low: float | None, high: float | None, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        decide(0.0, uncertainty, low, high)
