"""Rules that hold for every move, whatever the deck and the readings."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from typing import get_args

import pytest

from setup.scenes import azimuth, balance, hum, speed, wow
from spindlewright.capture.fitness_codes import FITNESS_CODES
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Finding
from spindlewright.setup.deck_abilities import Arm, DeckAbilities, Drive, Motor, SpeedTrim
from spindlewright.setup.headline import headline
from spindlewright.setup.next_moves import REGISTER, Move, next_moves
from spindlewright.standards.cautions import caution

LOOKS = {
    "slow": speed(-1.5),
    "fast": speed(1.5),
    "other mains": speed(-16.667),
    "far off": speed(-11.0),
    "45 for 33": speed(35.0),
    "lean": [azimuth(1.2)],
    "lean, far": [azimuth(-3.0)],
    "balance": [balance(4.0)],
    "hum, one side": hum(-38.0, -74.0, {1: 1.0}),
    "hum, both": hum(-40.0, -41.0, {1: 1.0, 3: 0.5}),
    "ripple": hum(-40.0, -41.0, {2: 1.0}),
    "wow": wow([(2.5, 0.2), (5.0, 0.1)]),
}


def every_move() -> Iterator[tuple[str, DeckAbilities, Move]]:
    decks = [
        DeckAbilities(drive=drive, motor=motor, arm=arm, speed_trim=trim, azimuth=azimuth_set)
        for drive, motor, arm, trim, azimuth_set in itertools.product(
            get_args(Drive), get_args(Motor), get_args(Arm), get_args(SpeedTrim), ("fixed", "adjustable")
        )
    ]
    for name, readings in LOOKS.items():
        for deck in decks:
            for move in next_moves(readings, deck=deck):
                yield name, deck, move
    for code in FITNESS_CODES:
        for severity in ("stop", "warn"):
            item = FitnessItem(code, severity, "…", "left")  # type: ignore[arg-type]
            for move in next_moves([], [Finding(code, "…")], [item]):
                yield code, DeckAbilities(), move


MOVES = list(every_move())


def test_there_are_moves_to_look_at() -> None:
    assert len(MOVES) > 1000
    assert {move.key for _, _, move in MOVES} >= {key for key, _, _ in REGISTER} - {
        *("symmetric_leak", "once_per_turn", "rumble")
    }


def test_every_caution_named_is_in_the_table_and_every_adjustment_names_one() -> None:
    for _, _, move in MOVES:
        for name in move.cautions:
            assert caution(name).id == name
        if move.kind in ("adjust", "suspect"):
            assert move.cautions, f"{move.words}: no caution"


def test_no_move_lifts_an_earth_or_holds_a_live_motor() -> None:
    for _, _, move in MOVES:
        said = f"{move.sentence} {move.because}".lower()
        assert "lift the earth" not in said
        assert "protective earth" not in said
        assert "hold the motor" not in said
        assert "disconnect the earth" not in said


def test_only_decks_with_a_trim_are_told_to_turn_it() -> None:
    for _, deck, move in MOVES:
        if move.key == "speed_trim":
            assert deck.speed_trim != "none"
            assert (move.kind == "adjust") == (deck.speed_trim != "unknown")


def test_only_headshells_that_can_be_rolled_are_told_to_roll() -> None:
    for _, deck, move in MOVES:
        if move.key == "azimuth" and move.unit == "°":
            assert deck.azimuth != "fixed" or deck.arm == "unipivot"
            assert deck.arm != "plug-in"


def test_every_move_is_a_whole_sentence_in_short_plain_words() -> None:
    for _, _, move in MOVES:
        assert move.what
        assert move.direction
        assert move.because
        assert move.because[-1] not in ".;,"
        assert move.words[-1] not in ".;,"
        assert move.sentence[0].isupper()
        assert move.sentence.endswith(".")
        assert len(move.words) < 190, move.words
        assert (move.amount is None) == (move.unit is None)
        assert move.kind in ("adjust", "suspect", "repeat", "leave")


@pytest.mark.parametrize("look", LOOKS)
def test_the_headline_is_one_sentence_with_figure_and_move(look: str) -> None:
    readings = LOOKS[look]
    deck = DeckAbilities(speed_trim="per_speed", azimuth="adjustable", drive="idler")
    said = headline(readings, deck=deck)
    moves = next_moves(readings, deck=deck)
    assert said.sentence.endswith(f"{moves[0].words}.")
    assert moves[0].because[1:] in said.sentence
    assert any(character.isdigit() for character in said.sentence)
    assert said.quantity == moves[0].quantity


def test_first_comes_what_is_outside_its_limit() -> None:
    """An azimuth without a limit waits; with one that is passed it does not."""
    lean = azimuth(1.2)
    deck = DeckAbilities(azimuth="adjustable", speed_trim="per_speed")
    readings = [lean, *hum(-38.0, -74.0, {1: 1.0})]
    assert [move.key for move in next_moves(readings, deck=deck)] == ["hum", "azimuth"]
    assert [move.key for move in next_moves([lean, *speed(-1.5)], deck=deck)] == ["speed_trim", "azimuth"]
    flutter = wow([(2.5, 0.2), (5.0, 0.1)])
    idler = replace(deck, drive="idler")
    assert [move.key for move in next_moves([lean, *flutter], deck=idler)] == ["rotating_part", "azimuth"]
