"""Moves for speed: trim, pulley of the other mains, another speed, belt, idler, and what comes before any of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from setup.scenes import speed, within
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.counted_turns import counted_turns
from spindlewright.setup.deck_abilities import AbilityError, DeckAbilities, deck_abilities
from spindlewright.setup.next_moves import Move, next_moves
from spindlewright.setup.next_moves.speed_seen import USUAL_PERCENT

SYNCHRONOUS = DeckAbilities(drive="belt", motor="synchronous", speed_trim="none", mains_hz=50.0)
SERVO = DeckAbilities(drive="direct", motor="servo", speed_trim="per_speed")


def first(*arguments: object, **named: object) -> Move:
    moves = next_moves(*arguments, **named)  # type: ignore[arg-type]
    assert moves
    return moves[0]


@pytest.mark.parametrize(("percent", "direction"), [(-0.8, "towards faster"), (0.8, "towards slower")])
def test_a_deck_with_a_trim_is_trimmed_the_right_way_by_a_little(percent: float, direction: str) -> None:
    move = first(speed(percent), deck=SERVO)
    assert (move.key, move.kind, move.direction) == ("speed_trim", "adjust", direction)
    assert f"turn the trim screw of this speed {direction} by a little and measure again" == move.words
    assert (move.amount, move.unit) == (0.8, "%")
    assert "rotating-adjust" in move.cautions


def test_a_shared_trim_moves_every_speed_and_one_inside_the_motor_has_its_tool() -> None:
    shared = first(speed(-0.8), deck=replace(SERVO, speed_trim="shared"))
    assert "measure the others" in shared.sentence
    inside = first(speed(-0.8), deck=DeckAbilities(drive="belt", motor="dc", speed_trim="inside_motor"))
    assert "insulated" in inside.sentence


def test_within_its_limit_or_closer_than_can_be_told_nothing_is_turned() -> None:
    assert next_moves(speed(-0.15), deck=SERVO) == ()
    assert next_moves(speed(0.05, limit=0.02, disc_percent=0.1), deck=SERVO)[0].kind == "repeat"
    assert next_moves(speed(-USUAL_PERCENT / 2.0, limit=None), deck=SERVO) == ()


def test_a_verdict_that_hangs_on_the_disc_asks_for_the_disc_first() -> None:
    """−0.25 ± 0.095 % against ±0.3 %: known better, the disc alone would settle it (readings contract)."""
    move = first(speed(-0.25), deck=SERVO)
    assert move.words == "measure this disc once against a run-out groove"
    assert move.kind == "repeat"


def test_case_13_the_pulley_of_the_other_mains() -> None:
    """27.78 rpm, 3150 Hz read as 2625: exactly 5/6; the trap is trusting the ring, which stands still."""
    move = first(speed(100.0 * (2625.0 / 3150.0 - 1.0)), deck=SYNCHRONOUS)
    assert (move.key, move.kind, move.direction) == ("other_mains_pulley", "adjust", "larger")
    assert "5/6" in move.because
    assert "60 Hz mains on 50 Hz" in move.because
    assert "stands still at 27.78 rpm" in move.sentence
    assert {"mains-unplug", "mains-voltage-change"} <= set(move.cautions)


@pytest.mark.parametrize(
    ("ratio", "mains", "direction", "pulley"), [(5 / 6, 50.0, "larger", 14.76), (6 / 5, 60.0, "smaller", 10.0667)]
)
def test_the_pulley_that_is_wanted_comes_by_the_belts_mid_line(
    ratio: float, mains: float, direction: str, pulley: float
) -> None:
    """(D + t) × 6/5 − t: (12.2 + 0.6) × 1.2 − 0.6 = 14.76 mm; (12.2 + 0.6) × 5/6 − 0.6 = 10.07 mm (values 17)."""
    deck = replace(SYNCHRONOUS, mains_hz=mains, dimensions={"pulley_mm": 12.2, "belt_thickness_mm": 0.6})
    move = first(speed(100.0 * (ratio - 1.0)), deck=deck)
    assert move.direction == direction
    assert move.amount == pytest.approx(pulley, abs=0.006)
    assert move.unit == "mm"


@pytest.mark.parametrize("rpm", [27.78, 37.50])
def test_counted_turns_show_the_other_mains_too(rpm: float) -> None:
    """27.8 and 37.5 rpm (trade practice 1.5)."""
    taps = [60.0 / rpm * k for k in range(12)]
    nominal = 100.0 / 3.0 if rpm < 30.0 else 45.0
    assert first([counted_turns(taps, nominal)], deck=SYNCHRONOUS).key == "other_mains_pulley"


def test_only_motors_that_keep_step_with_the_mains_and_only_the_right_mains() -> None:
    slow = speed(100.0 * (5.0 / 6.0 - 1.0))
    assert all(m.key != "other_mains_pulley" for m in next_moves(slow, deck=SERVO))
    assert all(m.key != "other_mains_pulley" for m in next_moves(slow, deck=replace(SYNCHRONOUS, mains_hz=60.0)))
    unknown = first(slow, deck=DeckAbilities())
    assert (unknown.key, unknown.kind) == ("other_mains_pulley", "suspect")
    assert "if the motor runs in step" in unknown.because


def test_a_little_beside_five_sixths_is_no_other_mains() -> None:
    assert first(speed(-14.0), deck=SYNCHRONOUS).key != "other_mains_pulley"


def test_45_for_33_is_the_lever_and_not_the_trim() -> None:
    """45/33⅓ = 1.35 (trade practice 4.1)."""
    moves = next_moves(speed(35.0), deck=SERVO)
    assert [move.key for move in moves] == ["other_speed"]
    assert "set the deck to 33⅓ rpm" in moves[0].words
    item = FitnessItem("wrong_speed", "stop", "…", evidence={"cut_rpm": 33.333, "played_rpm": 45.0})
    moves = next_moves([], fitness=[item], deck=SERVO)
    assert [move.key for move in moves] == ["other_speed"]


def test_a_nominal_in_doubt_says_what_both_would_mean_and_that_nothing_is_turned() -> None:
    """3000 Hz taken for 3150: −4.76 %, the reverse +5.00 % (trade practice 3.2)."""
    item = FitnessItem("nominal_doubt", "warn", "…", evidence={"candidates_hz": [3000.0, 3150.0], "found_hz": 3090.0})
    moves = next_moves(speed(-1.905, limit=None), fitness=[item], deck=SERVO)
    assert [move.kind for move in moves] == ["repeat"]
    assert "+3.0 % if it was cut at 3000 Hz or −1.9 % if it was cut at 3150 Hz" in moves[0].because
    assert "count the turns by taps" in moves[0].words
    assert "Turn nothing" in moves[0].sentence


def test_counted_turns_settle_a_nominal_in_doubt() -> None:
    item = FitnessItem("nominal_doubt", "warn", "…", evidence={"candidates_hz": [3000.0, 3150.0], "found_hz": 3090.0})
    taps = counted_turns([60.0 / (100.0 / 3.0 * 1.03) * k for k in range(30)])
    move = first([*speed(-1.905, limit=None), taps], fitness=[item], deck=SERVO)
    assert (move.key, move.direction) == ("speed_trim", "towards slower")
    assert move.quantity == "speed_by_counted_turns"


def test_taps_that_leave_it_open_ask_for_more_of_them() -> None:
    """The slope of a line is known as n to the power −3/2 (least squares, closed form)."""
    rng = np.random.default_rng(3)
    taps = counted_turns(list(1.8 * np.arange(8) + rng.normal(0.0, 0.05, 8)))
    spread = taps.conditions["deviation_uncertainty_percent"]
    assert spread > 0.3
    move = first([taps], deck=SERVO)
    assert (move.kind, move.unit) == ("repeat", "turns")
    assert move.amount is not None
    assert spread * (8.0 / move.amount) ** 1.5 <= 0.15
    steady = counted_turns(list(1.8 * np.arange(40) + rng.normal(0.0, 0.05, 40)))
    assert next_moves([steady], deck=SERVO) == ()


def test_an_automatic_is_not_made_to_play_a_run_out_groove() -> None:
    move = first(speed(-0.25), deck=replace(SERVO, automatic=True))
    assert "lifts by itself" in move.sentence


def test_a_tone_that_no_usual_nominal_is_near_is_no_doubt_of_the_others() -> None:
    item = FitnessItem("nominal_doubt", "warn", "…", evidence={"found_hz": [777.0]})
    assert first(speed(-2.0), fitness=[item], deck=SERVO).key == "speed_trim"


def test_case_1_a_thin_belt_by_its_sizes() -> None:
    """Hub 160.0, step 13.5 mm, belt 0.45 mm, −2.236 %: 0.80 mm is wanted. Trap: slip or motor."""
    sizes = {"hub_mm": 160.0, "pulley_mm": 13.5, "pulley_45_mm": 18.5, "belt_thickness_mm": 0.45}
    move = first(speed(-2.236, disc_percent=0.05), deck=replace(SYNCHRONOUS, dimensions=sizes))
    assert (move.key, move.what, move.direction, move.unit) == ("drive", "belt", "thicker", "mm")
    assert move.amount == pytest.approx(0.80, abs=0.01)


def test_case_1_more_on_the_small_step_is_the_belts_thickness() -> None:
    """−2.2 % at 33 and −1.6 % at 45, without any sizes known."""
    both = [*speed(-1.6, nominal_rpm=45.0, disc_percent=0.05), *speed(-2.2, disc_percent=0.05)]
    move = first(both, deck=SYNCHRONOUS)
    assert move.what == "belt"
    assert "more on the small step" in move.because


def test_off_alike_at_both_speeds_is_what_they_share() -> None:
    both = [*speed(-1.0, nominal_rpm=45.0), *speed(-1.0)]
    move = first(both, deck=replace(SERVO, speed_trim="shared"))
    assert "alike at both speeds" in move.because
    one = first([*speed(0.0, nominal_rpm=45.0)[1:], *speed(-1.8)], deck=SERVO)
    assert "only this speed is off" in one.because


def test_decks_without_a_trim_are_not_told_to_turn_one() -> None:
    for drive in ("belt", "idler", "direct", "unknown"):
        for percent in (-1.2, 1.2):
            move = first(speed(percent), deck=DeckAbilities(drive=drive, speed_trim="none"))  # type: ignore[arg-type]
            assert move.kind in ("suspect", "leave")
            assert "trim screw" not in move.sentence
    small = first(speed(0.45), deck=DeckAbilities(drive="direct", motor="servo", speed_trim="none"))
    assert (small.kind, small.words) == ("leave", "leave it, and say so on the sheet")


def test_an_idlers_own_diameter_is_not_blamed() -> None:
    """An idler that only carries motion does not set the speed (trade practice 1.6)."""
    move = first(speed(-1.2), deck=DeckAbilities(drive="idler", speed_trim="none"))
    assert "does not change the speed" in move.sentence
    assert "clean idler, motor step and rim" in move.words


def test_a_cold_deck_is_warmed_before_anything_is_turned() -> None:
    """Case 9: −1.7 % at 2 min, 0.0 at 30; the trap is turning the trimmer."""
    moves = next_moves(speed(-1.7, state="cold, short"), deck=SERVO)
    assert moves[0].kind == "repeat"
    assert "before anything is turned" in moves[0].words
    assert "not at the trim" in moves[0].sentence
    drift = within(-0.015, 0.015, replace(speed(0.1)[0], quantity="speed_drift", unit="%/min", value=0.4))
    assert next_moves([drift], deck=SERVO)[0].direction == "warm up"


def test_what_a_deck_is_must_be_one_of_the_words() -> None:
    with pytest.raises(AbilityError, match="found 'rope', allowed are belt, idler, direct, unknown"):
        DeckAbilities(drive="rope")  # type: ignore[arg-type]
    made = deck_abilities(drive="", abilities={"speed_trim": "per_speed", "azimuth": "", "other": "x"})
    assert (made.drive, made.speed_trim, made.azimuth) == ("unknown", "per_speed", "unknown")
