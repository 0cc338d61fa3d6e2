"""The table of fitness codes against the reading contract, and what a stop takes away."""

from __future__ import annotations

import pytest

from spindlewright.capture.fitness_codes import EVERYTHING, FITNESS_CODES, spoils, stops
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.capture.placing import placed

CONTRACT = [
    "clipped", "too_quiet", "offset", "channel_dead", "mono", "inverted", "swapped", "gain_changes", "drop_out",
    "missing_samples", "wrong_sample_rate", "wrong_speed", "nominal_doubt", "hum_drowned", "too_short", "no_tone",
    "many_ticks", "not_finite", "truncated",
]  # fmt: skip
"""Witness: the list in the reading contract, in its order."""


def stop(code: str, channel: str | None = None, bands: tuple[int, ...] = ()) -> FitnessItem:
    return FitnessItem(code, "stop", "…", channel, bands=bands)  # type: ignore[arg-type]


def test_every_code_of_the_contract_and_no_other() -> None:
    assert list(FITNESS_CODES) == CONTRACT


@pytest.mark.parametrize("code", CONTRACT)
def test_entry_is_complete(code: str) -> None:
    entry = FITNESS_CODES[code]
    for words in (entry.meaning, entry.remedy, entry.because):
        assert words.endswith(".")
        assert "\n" not in words
    named = [quantity for spoil in entry.spoils for quantity in spoil.quantities]
    assert set(named) <= set(EVERYTHING)


def test_a_quantity_is_named_once_a_code() -> None:
    for entry in FITNESS_CODES.values():
        mixed = [q for spoil in entry.spoils if spoil.channels == "any" for q in spoil.quantities]
        assert len(mixed) == len(set(mixed)), entry.code


@pytest.mark.parametrize(
    ("code", "quantity", "channel", "lost"),
    [
        ("clipped", "crosstalk_left_to_right", None, True),
        ("clipped", "channel_balance", None, True),
        ("clipped", "total_harmonic_distortion", "left", True),
        ("clipped", "speed_deviation", None, False),
        ("clipped", "wow_flutter_weighted", None, False),
        ("mono", "azimuth_error", None, True),
        ("mono", "channel_balance", None, True),
        ("mono", "rumble_weighted", "vertical", True),
        ("mono", "rumble_weighted", "lateral", True),
        ("mono", "rumble_weighted", "left", False),
        ("mono", "hum", "left", False),
        ("mono", "speed_deviation", None, False),
        ("inverted", "azimuth_error", None, True),
        ("inverted", "speed_deviation", None, False),
        ("inverted", "crosstalk_left_to_right", None, False),
        ("wrong_sample_rate", "speed_deviation", None, True),
        ("wrong_sample_rate", "rotation_rate", None, True),
        ("wrong_sample_rate", "channel_balance", None, False),
        ("nominal_doubt", "speed_deviation", None, True),
        ("nominal_doubt", "wow_flutter_weighted", None, False),
        ("hum_drowned", "hum", "left", False),
        ("hum_drowned", "wow_flutter_weighted", None, True),
        ("no_tone", "hum", "left", False),
        ("no_tone", "speed_deviation", None, True),
        ("offset", "speed_deviation", None, False),
        ("truncated", "speed_deviation", None, False),
    ],
)
def test_spoils_what_it_must_and_spares_the_rest(code: str, quantity: str, channel: str | None, lost: bool) -> None:
    assert spoils(stop(code), quantity, channel) is lost


def test_warning_takes_nothing_away() -> None:
    warning = FitnessItem("mono", "warn", "…")
    assert not any(spoils(warning, quantity, None) for quantity in EVERYTHING)


def test_only_the_affected_channel_and_its_mixtures() -> None:
    dead = stop("channel_dead", "left")
    lost = {
        channel for channel in ("left", "right", "lateral", "vertical") if spoils(dead, "rumble_weighted", channel)
    }
    assert lost == {"left", "lateral", "vertical"}
    assert not spoils(dead, "wow_flutter_weighted", None)


def test_only_the_bands_named() -> None:
    item = stop("clipped", None, (2, 3))
    assert spoils(item, "crosstalk_left_to_right", None, (3, 5))
    assert not spoils(item, "crosstalk_left_to_right", None, (4, 5))
    assert spoils(item, "crosstalk_left_to_right", None, ()), "a reading of the whole side is made from all bands"
    assert stops([item, stop("mono"), stop("mono")], "channel_balance", None, (2,)) == ["clipped", "mono"]


def test_intervals_are_placed_in_bands() -> None:
    spans = [(0, 0.0, 10.0), (1, 12.0, 20.0), (2, 21.0, 30.0)]
    item = FitnessItem("clipped", "stop", "…", "left", {"intervals_s": [[9.0, 12.02], [25.0, 26.0]]})
    assert placed([item], spans)[0].bands == (0, 2), "0.02 s at the edge of band 1 hurt nothing"
    outside = FitnessItem("clipped", "stop", "…", evidence={"intervals_s": [[10.2, 11.5]]})
    assert placed([outside], spans)[0].severity == "warn"
    whole = FitnessItem("mono", "stop", "…")
    assert placed([whole], spans) == (whole,)
    short = FitnessItem("drop_out", "stop", "…", evidence={"intervals_s": [[13.0, 13.001]]})
    assert placed([short], spans)[0].bands == (1,)
