"""A user's own limits: what is understood, and what is refused with which words."""

import contextlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spindlewright.standards.limits import LimitsError, limits_from_toml


def pair(entry: str, quantity: str = "speed_deviation") -> tuple[float | None, float | None]:
    limit = limits_from_toml(f'[limits]\n{quantity} = "{entry}"').limits[quantity]
    return limit.low, limit.high


def test_tables_with_source() -> None:
    limits = limits_from_toml(
        """
        name = "upstairs"
        title = "Upstairs bench"
        [limits.speed_deviation]
        low = -0.3
        high = 0.3
        source = "what this bench promises"
        [limits.wow_flutter_weighted]
        high = 0.12
        """
    )
    assert (limits.name, limits.title) == ("upstairs", "Upstairs bench")
    speed = limits.limits["speed_deviation"]
    assert (speed.low, speed.high, speed.source) == (-0.3, 0.3, "what this bench promises")
    flutter = limits.limits["wow_flutter_weighted"]
    assert (flutter.low, flutter.high) == (None, 0.12)
    assert flutter.source == "own limit, no source given"


@pytest.mark.parametrize(
    ("entry", "expected"),
    [
        ("± 0.3 %", (-0.3, 0.3)),
        ("+-0,3", (-0.3, 0.3)),
        ("+/- 0.3 %", (-0.3, 0.3)),
        ("≤ 0.2 %", (None, 0.2)),
        ("<= 0.2", (None, 0.2)),
        ("at most 0.2 %", (None, 0.2)),
        ("≥ 0.1 %", (0.1, None)),
        (">= -0.5 %", (-0.5, None)),
        ("+1.5 / -1.0 %", (-1.0, 1.5)),
        ("+1.5/−1.0 %", (-1.0, 1.5)),
        ("-1 to 1.5 %", (-1.0, 1.5)),
        ("-1..1.5", (-1.0, 1.5)),
    ],
)
def test_short_forms(entry: str, expected: tuple[float | None, float | None]) -> None:
    assert pair(entry) == expected


@pytest.mark.parametrize("quantity", ["rumble_unweighted", "crosstalk_left_to_right", "hum", "surface_noise"])
def test_at_least_35_db_is_kept_as_high_minus_35(quantity: str) -> None:
    assert pair("≥ 35 dB", quantity) == (None, -35.0)
    assert pair("≤ -35 dB", quantity) == (None, -35.0)


def test_other_units_are_known_by_their_bench_names() -> None:
    assert pair("≤ 2 ohm", "arm_to_lead_resistance") == (None, 2.0)
    assert pair("± 2 deg", "azimuth_error") == (-2.0, 2.0)
    assert pair("7 to 12 Hz", "arm_resonance_lateral") == (7.0, 12.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("x =", "not valid TOML.*mend that line"),
        ("", r"no \[limits"),
        ("limits = 3", "found limits = 3"),
        ("[limits]", r"at least one is needed"),
        ("[limit.wow]\nhigh = 1", "key 'limit'.*did you mean limits"),
        ("[limits.sped_deviation]\nhigh = 1", "did you mean speed_deviation"),
        ("[limits.zzzz]\nhigh = 1", "no reading has the name 'zzzz'; known are speed_deviation"),
        ("[limits.wow]\nhgih = 1", "limits.wow: found the key 'hgih'.*did you mean high"),
        ("[limits.wow]\nhigh = true", "limits.wow.high: found True"),
        ('[limits.wow]\nhigh = "0.2"', "limits.wow.high: found '0.2', allowed is a finite number"),
        ("[limits.wow]\nhigh = inf", "limits.wow.high: found inf"),
        ("[limits.wow]\nhigh = nan", "limits.wow.high: found nan"),
        ("[limits.wow]\nsource = 'x'", "limits.wow: found neither low nor high"),
        ("[limits.wow]\nlow = 2\nhigh = 1", "limits.wow: found low 2 above high 1; swap them"),
        ("[limits]\nwow = 3", "limits.wow: found 3, allowed is a table"),
        ("[limits]\nwow = '± 3 rpm'", "unit 'rpm'.*read in %; convert it"),
        ("[limits]\nwow = 'about 3'", "limits.wow: found 'about 3', allowed are forms like"),
        ("[limits.hum]\nlow = 35", 'write high = -35 or "≥ 35 dB"'),
        ("[limits.hum]\nhigh = 35", 'write high = -35 or "≥ 35 dB"'),
        ("[limits.hum]\nlow = -40", "would let any stronger one pass; write high = -40"),
        ("title = 3\n[limits.wow]\nhigh = 1", "title: found 3"),
        ("[limits.wow]\nhigh = 1\nsource = ''", "limits.wow.source: found ''"),
    ],
)
def test_refusals(text: str, words: str) -> None:
    with pytest.raises(LimitsError, match=words) as refused:
        limits_from_toml(text)
    assert "\n" not in str(refused.value)


NUMBERS = st.floats(-1e6, 1e6, allow_nan=False).map(lambda x: round(x, 6))


@given(NUMBERS, NUMBERS)
def test_any_pair_of_numbers_comes_back(one: float, other: float) -> None:
    low, high = min(one, other), max(one, other)
    limit = limits_from_toml(f"[limits.speed_deviation]\nlow = {low!r}\nhigh = {high!r}").limits["speed_deviation"]
    assert (limit.low, limit.high) == (low, high)


@given(st.text(max_size=60))
def test_any_other_text_is_refused_in_one_line_or_understood(text: str) -> None:
    with contextlib.suppress(LimitsError):
        limits_from_toml(text)


@given(st.text(min_size=1, max_size=30))
def test_a_refusal_is_one_line_whatever_the_key(key: str) -> None:
    with pytest.raises(LimitsError) as refused:
        limits_from_toml(f"[limits.{json.dumps('x' + key)}]\nhigh = 1")
    assert len(str(refused.value).splitlines()) == 1
