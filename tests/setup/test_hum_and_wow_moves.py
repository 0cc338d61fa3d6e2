"""Moves for hum, for lines of rotating parts, for once per turn and for rumble."""

from __future__ import annotations

from dataclasses import replace

import pytest

from readings.hand_made import made
from setup.scenes import NOMINAL_RPM, hum, speed, within, wow
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.hand_readings import hand_reading
from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.setup.next_moves import next_moves
from spindlewright.standards.jcgm_101_2008 import Contribution

IDLER = DeckAbilities(drive="idler", motor="induction", dimensions={"rim_mm": 270.0, "idler_mm": 60.0})
BELT = DeckAbilities(
    drive="belt",
    motor="synchronous",
    dimensions={"hub_mm": 160.0, "pulley_mm": 17.244, "belt_thickness_mm": 0.6, "belt_length_mm": 560.0},
)
MAINS, ODD, RIPPLE = {1: 1.0}, {1: 1.0, 3: 0.5, 5: 0.2}, {2: 1.0, 4: 0.4, 6: 0.1}


def test_hum_in_one_channel_is_that_channels_return() -> None:
    """One channel only, no music in it: open return, tag off, headshell pin (trade practice 4.6)."""
    (move,) = next_moves(hum(-38.0, -74.0, MAINS))
    assert (move.key, move.channel) == ("hum", "left")
    assert "left channel's return" in move.words
    assert "white and blue" in move.words
    (other,) = next_moves(hum(-74.0, -38.0, MAINS))
    assert other.channel == "right"
    assert "red and green" in other.words


def test_hum_in_both_channels_with_odd_multiples_is_earth_or_field() -> None:
    (move,) = next_moves(hum(-40.0, -41.0, ODD))
    assert "50 Hz and odd multiples" in move.because
    assert "earth path from arm to lead" in move.words
    assert "60 Hz" in next_moves(hum(-40.0, -41.0, ODD, mains_hz=60.0))[0].because


def test_a_measured_earth_path_that_is_bad_is_named() -> None:
    """Earth path from arm to lead under about 2 Ω (trade practice 1.8)."""
    bad = hand_reading("arm_to_lead_resistance", "90")
    (move,) = next_moves([*hum(-40.0, -41.0, ODD), bad])
    assert "90 Ω where 2 Ω is the most" in move.because
    good = hand_reading("arm_to_lead_resistance", "0.4")
    assert "Ω" not in next_moves([*hum(-40.0, -41.0, ODD), good])[0].because


def test_twice_the_mains_with_the_arm_up_is_a_rectifier() -> None:
    """Ripple of a full-wave rectifier is 2 f (published values 19, derived)."""
    (move,) = next_moves(hum(-40.0, -41.0, RIPPLE))
    assert "100 Hz and its multiples" in move.because
    assert "another preamp" in move.words


def test_case_10_twice_the_mains_only_with_the_stylus_down_is_vibration() -> None:
    """100 Hz: A −72, B −71, C −39 dB: motor mounts gone hard. Trap: earth loop."""
    moves = next_moves([*hum(-71.0, -72.0, RIPPLE), *hum(-39.0, -39.5, RIPPLE, kind="silence", band=1)])
    assert [move.what for move in moves] == ["motor mounts"]
    assert "vibration of the motor, not hum" in moves[0].because


def test_with_the_stylus_down_only_the_arm_is_lifted_first() -> None:
    (move,) = next_moves(hum(-40.0, -41.0, RIPPLE, kind="silence"))
    assert move.kind == "repeat"
    assert "with the arm up" in move.words


def test_hum_that_nobody_hears_and_bounds_are_left() -> None:
    assert next_moves(hum(-68.0, -66.0, ODD)) == ()
    quiet = [replace(r, conditions={**r.conditions, "below_noise": True}) for r in hum(-30.0, -30.0, MAINS)]
    assert next_moves(quiet) == ()


def test_a_tone_drowned_in_hum_has_its_move() -> None:
    item = FitnessItem("hum_drowned", "stop", "…")
    (move,) = next_moves([], fitness=[item])
    assert move.key == "hum"


@pytest.mark.parametrize(("rpm", "rate"), [(NOMINAL_RPM, 2.5), (45.0, 3.375)])
def test_case_3_the_flat_on_the_idler(rpm: float, rate: float) -> None:
    """Lines at f_p·D_rim/D_idler and its multiples: 2.50, 5.0, 7.5 Hz at 33, 3.38 and multiples at 45."""
    lines = [(rate, 0.21), (2.0 * rate, 0.13), (3.0 * rate, 0.06)]
    moves = next_moves([*speed(-0.2, limit=1.0, nominal_rpm=rpm), *wow(lines, rpm=rpm)], deck=IDLER)
    assert [(move.key, move.what) for move in moves] == [("rotating_part", "idler")]
    assert "a flat" in moves[0].because
    assert "1.35 times faster" in moves[0].sentence, "the check that would refute it"
    assert moves[0].quantity == "wow_flutter_weighted"


def test_the_idlers_lines_move_with_the_platters_true_speed() -> None:
    """At 2 % slow the idler turns at 2.45 Hz: there the line is its own, at 2.5 Hz it is not."""
    slow = speed(-2.0, limit=5.0)
    assert next_moves([*slow, *wow([(2.45, 0.2), (4.9, 0.1)])], deck=IDLER)[0].what == "idler"
    bare = replace(IDLER, drive="belt", dimensions={"rim_mm": 270.0})
    assert all(move.what != "idler" for move in next_moves([*slow, *wow([(2.7, 0.2)])], deck=bare))


def test_a_family_on_an_idler_deck_without_sizes_is_suspected_all_the_same() -> None:
    lines = [(2.5, 0.21), (5.0, 0.13)]
    (move,) = next_moves(wow(lines), deck=DeckAbilities(drive="idler"))
    assert move.what == "idler"
    assert "callipers" in move.sentence


@pytest.mark.parametrize(("hz", "what"), [(5.0, "pulley and motor"), (0.50055, "belt")])
def test_lines_of_a_belt_deck_name_their_part(hz: float, what: str) -> None:
    """Pulley 17.244 for a 300 rpm motor, 5 Hz (values 17, 19); belt f_p π (160.6)/560 = 0.5005 Hz (closed form)."""
    moves = next_moves([*speed(0.0), *wow([(hz, 0.2)])], deck=BELT)
    assert [move.what for move in moves] == [what]
    assert ("inside out" in moves[0].words) == (what == "belt")


def test_a_line_that_nothing_explains_asks_for_the_sizes() -> None:
    (move,) = next_moves(wow([(4.2, 0.2)]), deck=DeckAbilities(drive="belt"))
    assert move.kind == "repeat"
    assert "measure hub, pulley, belt thickness and belt length" in move.words


def test_good_flutter_looks_for_no_part() -> None:
    assert next_moves([*speed(0.0), *wow([(5.0, 0.05)], weighted=0.05)], deck=BELT) == ()


def test_case_2_once_per_turn_suspects_the_disc_first() -> None:
    """0.207 % at 105 mm under a 230 mm arm is a hole 0.20 mm off (case 2). Trap: bearing or motor."""
    once, weighted = wow([], once=0.207, weighted=0.07)
    once = replace(once, conditions={**once.conditions, "radius_mm": 105.0})
    (move,) = next_moves([once, weighted])
    assert move.kind == "repeat"
    assert "turn the disc half round" in move.words
    assert "a disc 0.20 mm off centre does at 105 mm" in move.because
    assert next_moves(wow([], once=0.08, weighted=0.05)) == ()


def test_rumble_that_is_mainly_vertical_suspects_the_bearing() -> None:
    """Drive and bearing noise is mostly vertical (trade practice 4.4)."""
    readings = [
        within(None, -35.0, made("rumble_unweighted", level, Contribution("length", 0.3), unit="dB", channel=which))
        for which, level in (("lateral", -38.0), ("vertical", -32.0))
    ]
    (move,) = next_moves(readings)
    assert "main bearing" in move.words
    carried = replace(readings[1], conditions={"without_mains_lines_db": -40.0})
    assert "mains" in next_moves([readings[0], carried])[0].because
