"""The one sentence: figure, cause, move; or that nothing calls for one."""

from __future__ import annotations

from dataclasses import replace

from readings.hand_made import made
from setup.scenes import balance, hum, speed, within
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Finding
from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.setup.headline import headline
from spindlewright.standards.jcgm_101_2008 import Contribution

SYNCHRONOUS = DeckAbilities(drive="belt", motor="synchronous", speed_trim="none", mains_hz=50.0)


def test_the_deck_with_the_other_mains_pulley() -> None:
    said = headline(speed(-100.0 / 6.0), [Finding("inverted", "…")], deck=SYNCHRONOUS)
    assert said.quantity == "speed_deviation"
    assert said.sentence == (
        "It turns 16.667 ± 0.095 % slow (27.78 rpm): that is 5/6 of the right speed, so the pulley is that of 60 Hz "
        "mains on 50 Hz; fit the pulley for 50 Hz."
    )


def test_the_automatic_that_hums_on_one_side() -> None:
    item = FitnessItem("no_tone", "stop", "No tone.")
    said = headline(hum(-38.0, -74.0, {1: 1.0}, unit="dBFS"), fitness=[item])
    assert said.sentence.startswith("The left channel hums at −38.00 ± 0.59 dBFS: one channel hums alone")
    assert said.quantity == "hum"


def test_a_finding_without_a_figure() -> None:
    said = headline([], [Finding("inverted", "…")])
    assert said.quantity is None
    assert said.sentence.startswith("One channel is upside down against the other; exchange")


def test_a_recording_that_is_not_fit_says_what_to_do() -> None:
    said = headline([], fitness=[FitnessItem("clipped", "stop", "…")])
    assert "record again with a lower level" in said.sentence


def test_nothing_calls_for_a_move() -> None:
    said = headline(speed(0.05, limit=1.0))
    assert said.sentence == "It turns at its speed within ±0.095 % (33.35 rpm), and nothing here calls for a move."
    off = headline(speed(-0.4, limit=1.0))
    assert off.sentence == "It turns 0.400 ± 0.095 % slow (33.20 rpm), and nothing here calls for a move."
    assert headline([]).sentence == "Nothing could be read from this."
    assert "calls for a move" in headline([balance(0.4)]).sentence


def test_what_is_outside_without_a_known_cause_is_not_hidden() -> None:
    distortion = made("total_harmonic_distortion", 4.0, Contribution("noise", 0.1), channel="left")
    said = headline([*speed(0.0), within(None, 2.0, distortion)])
    assert "outside its limit" in said.sentence
    assert said.quantity == "total_harmonic_distortion"


def test_the_side_that_is_louder_is_named() -> None:
    assert headline([balance(3.6)]).sentence.startswith("The left channel is 3.60 ± 0.04 dB louder")
    assert headline([replace(balance(-3.6))]).sentence.startswith("The right channel is 3.60 ± 0.04 dB louder")
