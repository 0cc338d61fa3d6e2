"""Hi-fi minimum requirements as a table of limits.

Source: reference page 5: DIN 45500 part 3 (confirmed by look-up in secondary sources, rows marked) and ČSN 36 8401 /
8415 of 1984 (confirmed, secondary). Values typed here from the page.
"""

import pytest

from spindlewright.readings.reading import Reading
from spindlewright.readings.verdicts import judged
from spindlewright.standards.jcgm_101_2008 import Contribution
from spindlewright.standards.limits import find_limits

DIN_45500 = {
    "speed_deviation": (-1.0, 1.5),
    "wow_flutter_weighted": (None, 0.2),
    "wow_flutter_weighted_quasi_peak": (None, 0.2),
    "rumble_unweighted": (None, -35.0),
    "rumble_weighted": (None, -50.0),
    "channel_balance": (-2.0, 2.0),
    "crosstalk_left_to_right": (None, -20.0),
    "crosstalk_right_to_left": (None, -20.0),
    "intermodulation": (None, 1.0),
    "tracking_force": (None, 50.0),
}
CSN_1984 = {
    "speed_deviation": (-1.2, 1.2),
    "wow_flutter_weighted": (None, 0.15),
    "wow_flutter_weighted_quasi_peak": (None, 0.15),
    "rumble_unweighted": (None, -38.0),
    "channel_balance": (-2.0, 2.0),
    "crosstalk_left_to_right": (None, -20.0),
    "crosstalk_right_to_left": (None, -20.0),
    "tracking_force": (None, 30.0),
}


@pytest.mark.parametrize(("name", "table"), [("hi-fi-minimum", DIN_45500), ("hi-fi-minimum-1984", CSN_1984)])
def test_table(name: str, table: dict[str, tuple[float | None, float | None]]) -> None:
    limits = find_limits(name).limits
    assert {quantity: (limit.low, limit.high) for quantity, limit in limits.items()} == table


@pytest.mark.parametrize(
    ("name", "frequency_hz", "high"),
    [
        ("hi-fi-minimum", 1000.0, -20.0),
        ("hi-fi-minimum", 500.0, -15.0),
        ("hi-fi-minimum", 6300.0, -15.0),
        ("hi-fi-minimum", 315.0, None),
        ("hi-fi-minimum", 10000.0, None),
        ("hi-fi-minimum-1984", 1000.0, -20.0),
        ("hi-fi-minimum-1984", 6300.0, -15.0),
        ("hi-fi-minimum-1984", 500.0, None),
    ],
)
def test_crosstalk_limit_depends_on_the_tone(name: str, frequency_hz: float, high: float | None) -> None:
    limit = find_limits(name).limit_for("crosstalk_left_to_right", frequency_hz)
    assert (limit.high if limit else None) == high


def test_each_limit_names_document_and_status() -> None:
    for name, document in (("hi-fi-minimum", "DIN 45500 part 3"), ("hi-fi-minimum-1984", "ČSN 36 8401")):
        for quantity, limit in find_limits(name).limits.items():
            assert document in limit.source
            status = "from memory" if (name, quantity) == ("hi-fi-minimum", "tracking_force") else "confirmed"
            assert status in limit.source


def test_rms_flutter_has_no_limit_of_a_peak_standard() -> None:
    """A weighted rms figure is 1/1.41 to 1/1.96 of the peak figure (reference page 1.5): the limit can't be used."""
    assert "wow_flutter_weighted_rms" not in find_limits().limits


@pytest.mark.parametrize(
    ("frequency_hz", "value_db", "verdict"),
    [
        (1000.0, -19.0, "outside"),
        (1000.0, -21.0, "within"),
        (1000.0, -20.1, "undecided"),
        (6300.0, -19.0, "within"),
        (6300.0, -14.0, "outside"),
        (315.0, -14.0, None),
    ],
)
def test_crosstalk_is_judged_by_its_own_tone(frequency_hz: float, value_db: float, verdict: str | None) -> None:
    reading = Reading(
        "crosstalk_left_to_right",
        value_db,
        "dB",
        0.5,
        (Contribution("noise", 0.25),),
        "method",
        "source",
        conditions={"frequency_hz": frequency_hz},
    )
    assert judged([reading], find_limits(), ())[0].verdict == verdict
