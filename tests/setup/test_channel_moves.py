"""Moves for azimuth, balance, wiring and crosstalk."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from readings.hand_made import made
from setup.scenes import azimuth, balance, within
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Finding
from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.setup.next_moves import next_moves
from spindlewright.setup.next_moves.azimuth_roll import edge_mm
from spindlewright.standards.jcgm_101_2008 import Contribution

ADJUSTABLE = DeckAbilities(arm="pivoted", azimuth="adjustable")
FIXED = DeckAbilities(arm="pivoted", azimuth="fixed")
INVERTED = Finding("inverted", "One channel is upside down.")


def test_a_shim_of_a_tenth_over_half_an_inch() -> None:
    """0.1 mm over 12.7 mm is 0.451° (published values 13); 13 mm × tan 1.2° = 0.2723 mm (closed form)."""
    assert edge_mm(0.451, 12.7) == pytest.approx(0.1, abs=1e-4)
    assert edge_mm(1.2, 13.0) == pytest.approx(13.0 * math.tan(math.radians(1.2)))


@pytest.mark.parametrize(("lean", "way"), [(-1.2, "clockwise"), (1.2, "counter-clockwise")])
def test_a_lean_is_rolled_back_in_degrees_and_millimetres(lean: float, way: str) -> None:
    """Positive is clockwise seen from the front (readings contract), so the way back is the other."""
    (move,) = next_moves([azimuth(lean)], deck=ADJUSTABLE)
    assert (move.kind, move.amount, move.unit) == ("adjust", 1.2, "°")
    assert move.words == (
        f"roll the headshell 1.2° {way} seen from its front: about 0.27 mm at the edge of a 13 mm wide shell"
    )
    assert {"stylus-guard", "magnet-pull"} <= set(move.cautions)


@pytest.mark.parametrize(("lean", "side"), [(1.2, "left"), (-1.2, "right")])
def test_a_fixed_headshell_gets_a_shim_on_the_side_that_rolls_it_back(lean: float, side: str) -> None:
    """The cartridge hangs below: a shim pushes its side down. Clockwise lean: the viewer's left side must go down."""
    (move,) = next_moves([azimuth(lean)], deck=FIXED)
    assert (move.what, move.amount, move.unit) == ("shim under the cartridge", 0.27, "mm")
    assert f"on your {side} as you look at the front" in move.words


def test_where_it_is_not_known_rolling_comes_first_and_the_shim_second() -> None:
    (move,) = next_moves([azimuth(1.2)])
    assert move.kind == "suspect"
    assert move.words.index("if it can be rolled") < move.words.index("shim")


def test_a_plug_in_cartridge_is_left_alone() -> None:
    for lean in (1.2, 2.6):
        (move,) = next_moves([azimuth(lean)], deck=DeckAbilities(arm="plug-in"))
        assert (move.kind, move.words) == ("leave", "leave it, and say so on the sheet")


def test_case_12_beyond_two_degrees_it_is_set_upright_by_eye() -> None:
    """Unipivot, tilt −2.5°: lateral balance, upright in the mirror (case 12, readings contract)."""
    (move,) = next_moves([azimuth(-2.5)], deck=DeckAbilities(arm="unipivot"))
    assert "set it upright by eye" in move.words
    assert "lateral balance" in move.words
    assert move.amount is None, "no roll is advised that the eye must do"
    (other,) = next_moves([azimuth(-2.5, polarity="assumed")], deck=ADJUSTABLE)
    assert "set it upright by eye" in other.words


@pytest.mark.parametrize("lean", [x / 10.0 for x in range(-20, 21)])
def test_no_roll_of_more_than_two_degrees_is_ever_advised(lean: float) -> None:
    for deck in (ADJUSTABLE, FIXED, DeckAbilities()):
        for move in next_moves([azimuth(lean, u=0.01)], deck=deck):
            size = move.amount or 0.0
            assert size <= (2.0 if move.unit == "°" else edge_mm(2.0, 13.0) + 0.01)


@pytest.mark.parametrize("code", ["inverted", "swapped"])
def test_with_channels_the_wrong_way_round_no_roll_is_advised(code: str) -> None:
    told = Finding(code, "…")
    for moves in (
        next_moves([azimuth(1.2)], [told], deck=ADJUSTABLE),
        next_moves([azimuth(1.2)], fitness=[FitnessItem(code, "warn", "…")], deck=ADJUSTABLE),
    ):
        assert [move.key for move in moves] == ["wiring"]
    assert next_moves([azimuth(1.2, polarity=code)], deck=ADJUSTABLE) == ()


def test_with_polarity_only_assumed_a_both_channel_tone_is_asked_for() -> None:
    (move,) = next_moves([azimuth(1.2, polarity="assumed")], deck=ADJUSTABLE)
    assert move.kind == "repeat"
    assert "lateral tone" in move.words


def test_a_lean_that_is_within_or_smaller_than_its_doubt_is_left() -> None:
    assert next_moves([azimuth(0.4, u=0.3)], deck=ADJUSTABLE) == ()
    assert next_moves([azimuth(0.2, u=0.01)], deck=ADJUSTABLE) == ()
    assert next_moves([within(-2.0, 2.0, azimuth(1.2))], deck=ADJUSTABLE) == ()


def test_case_5_an_inverted_channel_names_the_wires_and_their_colours() -> None:
    """Red and green exchanged at the cartridge: swap the two tags (case 5)."""
    (move,) = next_moves([], [INVERTED], deck=ADJUSTABLE)
    assert move.key == "wiring"
    assert "exchange signal and return of one channel at the cartridge" in move.words
    assert "white left, blue left return, red right, green right return" in move.sentence
    assert "stylus-tags" in move.cautions


def test_swapped_channels_are_sure_only_by_the_discs_layout() -> None:
    sure = FitnessItem("swapped", "warn", "…", evidence={"by_layout": True})
    assert "exchange the two plugs" in next_moves([], fitness=[sure])[0].words
    guess = FitnessItem("swapped", "warn", "…", evidence={"by_layout": False})
    assert "compare with the disc's notes" in next_moves([], fitness=[guess])[0].words


def test_a_dead_channel_is_followed_from_the_tag_on() -> None:
    item = FitnessItem("channel_dead", "stop", "…", "right")
    moves = next_moves([], fitness=[item])
    assert [move.key for move in moves] == ["wiring"]
    assert "right channel's tag" in moves[0].words


@pytest.mark.parametrize(
    ("decibels", "words"),
    [(3.6, "clean and check the right channel's tag"), (-3.6, "clean and check the left channel's tag")],
)
def test_over_three_decibels_look_at_the_contacts(decibels: float, words: str) -> None:
    """Over 3 dB look for contact resistance (trade practice 4.5)."""
    (move,) = next_moves([balance(decibels)])
    assert words in move.words
    assert "azimuth does not make this difference" in move.sentence


def test_between_two_and_three_decibels_it_may_be_the_cartridge() -> None:
    """Up to 2 dB can be within a cartridge's own specification; exchanging tags tells (trade practice 1.5)."""
    (move,) = next_moves([balance(2.5)])
    assert "exchange the two channels at the tags" in move.words
    assert next_moves([balance(1.5)]) == ()
    assert next_moves([balance(1.5, limit=None)]) == ()


def test_a_leak_of_one_sign_is_not_cured_by_a_roll() -> None:
    leak = made("symmetric_crosstalk", -15.0, Contribution("noise", 0.2), unit="dB", in_phase=0.17, quadrature=0.05)
    (move,) = next_moves([leak], deck=ADJUSTABLE)
    assert "No roll" in move.sentence
    capacitive = replace(leak, conditions={"in_phase": 0.03, "quadrature": 0.17})
    assert "quadrature" in next_moves([capacitive])[0].because
    assert next_moves([replace(leak, value=-28.0)]) == ()
