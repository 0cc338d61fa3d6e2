"""Gates: what a no closes, why, in words, and what opens it again."""

from __future__ import annotations

import io

import pytest
from bench_day import answer_all, arrived, at_before, at_work, taken_in, tone_wav

from spindlewright.readings.counted_turns import counted_turns
from spindlewright.shop.arrival import use_shop_headshell
from spindlewright.shop.errors import NotAccepted, NotOpenYet
from spindlewright.shop.functions import check_function
from spindlewright.shop.gate_questions import GATES, step_of
from spindlewright.shop.gates import answer_gate, gates_of
from spindlewright.shop.hand_readings import add_reading, counted_turns_reading, typed_reading
from spindlewright.shop.recordings import captures_of, may_take_in, take_in
from spindlewright.shop.store import Shop
from spindlewright.shop.views.recordings import CaptureOptions
from spindlewright.standards.cautions import steps

TAPS_S = [1.8 * turn for turn in range(8)]
"""A platter at exactly 33⅓ rpm: 1.8 s a turn."""


@pytest.fixture
def shop(sqlite_shop: Shop) -> Shop:
    """No database changes these rules; the whole way on both is walked in ``test_one_next_step.py``."""
    return sqlite_shop


def test_nothing_is_answered_at_first(shop: Shop) -> None:
    gates = gates_of(shop, arrived(shop))
    assert [(gate.key, gate.state) for gate in gates] == [
        ("plug_in", "not answered yet"),
        ("run", "not answered yet"),
        ("play", "not answered yet"),
    ]
    assert gates[0].why == "still to be answered: Mains lead whole, and held firmly where it goes in?"


def test_every_answer_is_kept_and_the_last_counts(shop: Shop) -> None:
    number = at_before(shop)
    answer_gate(shop, number, "play", "tip", "no", "chipped")
    gate = gates_of(shop, number)[2]
    assert (gate.state, gate.why) == ("closed", "the tip is missing, worn or not yet seen")
    assert gate.questions[0].note == "chipped"
    assert gate.opens_with.startswith("renew the tip")
    after = answer_gate(shop, number, "play", "tip", "yes")[2]
    assert (after.state, after.why, after.opens_with) == ("open", "", "")


def test_two_reasons_are_both_told(shop: Shop) -> None:
    number = at_before(shop)
    answer_gate(shop, number, "plug_in", "lead", "no")
    gate = answer_gate(shop, number, "plug_in", "burning", "no")[0]
    assert gate.why == "the mains lead is damaged or loose and there are signs of burning"


@pytest.mark.parametrize(
    ("gate", "question", "answer", "message"),
    [
        ("door", "lead", "yes", "gate: found 'door', allowed is plug_in, run, play"),
        ("play", "lead", "yes", "Fit to play.: found 'lead', allowed is tip, cantilever, force, arm_floats"),
        ("play", "tip", "perhaps", "found 'perhaps', allowed is yes, no, does_not_apply"),
        ("run", "turned_by_hand", "yes", "found 'yes', allowed is smooth, dry, rough, rubs, does_not_apply"),
    ],
)
def test_an_answer_that_is_none(sqlite_shop: Shop, gate: str, question: str, answer: str, message: str) -> None:
    number = arrived(sqlite_shop)
    with pytest.raises(NotAccepted, match=message):
        answer_gate(sqlite_shop, number, gate, question, answer)


def test_no_reading_before_the_gates(shop: Shop) -> None:
    number = arrived(shop)
    with pytest.raises(NotOpenYet, match=r'Recordings are not open yet: "Fit to plug in.*" is not answered'):
        taken_in(shop, number)
    with pytest.raises(NotOpenYet, match="first answer the gates of Arrival"):
        typed_reading(shop, number, "before", "belt_length", "512 mm", "string")
    answer_all(shop, number)
    typed_reading(shop, number, "before", "belt_length", "512 mm", "string")
    assert taken_in(shop, number).state == "stored"


CLOSED = {
    ("plug_in", "burning", "no"): ["disc", "lifted", "turns", "functions"],
    ("run", "turned_by_hand", "rubs"): ["disc", "turns", "functions"],
    ("run", "belt", "no"): ["disc", "turns", "functions"],
    ("play", "tip", "no"): ["disc"],
    ("play", "force", "no"): ["disc"],
}


@pytest.mark.parametrize(("gate", "question", "answer"), CLOSED)
def test_a_no_closes_what_it_endangers_and_nothing_else(
    sqlite_shop: Shop, gate: str, question: str, answer: str
) -> None:
    shop, number = sqlite_shop, arrived(sqlite_shop)
    answer_all(shop, number, {question: answer})

    def lifted() -> None:
        may_take_in(shop, number, "before", CaptureOptions(arm_lifted=True))

    tries = {
        "disc": lambda: may_take_in(shop, number, "before"),
        "lifted": lifted,
        "turns": lambda: counted_turns_reading(shop, number, "before", TAPS_S, 100.0 / 3.0),
        "functions": lambda: check_function(shop, number, "before", "start", "works"),
        "length": lambda: typed_reading(shop, number, "before", "effective_length", "230 mm", "rule"),
        "lid": lambda: check_function(shop, number, "before", "lid", "works"),
        "no start": lambda: check_function(shop, number, "before", "start", "not there"),
    }
    closed: dict[str, str] = {}
    for name, attempt in tries.items():
        try:
            attempt()
        except NotOpenYet as refusal:
            closed[name] = str(refusal)
    state = next(item for item in gates_of(shop, number) if item.key == gate)
    assert list(closed) == CLOSED[gate, question, answer]
    assert all(state.why in words and state.opens_with in words for words in closed.values())


def test_the_refused_recording_says_why_and_leaves_no_trace(shop: Shop) -> None:
    number = arrived(shop)
    answer_all(shop, number, {"tip": "no"})
    with pytest.raises(NotOpenYet) as refusal:
        take_in(shop, number, "before", "a.wav", io.BytesIO(tone_wav()))
    assert str(refusal.value) == (
        "Recordings are not open: the deck is not fit to play, because the tip is missing, worn or not yet seen. "
        "To open: renew the tip, or use the shop's own headshell and name it; then answer the question again."
    )
    assert captures_of(shop, number) == ()


def test_the_shops_own_headshell_opens_what_only_the_decks_stylus_closes(shop: Shop) -> None:
    number = arrived(shop)
    answer_all(shop, number, {"tip": "no", "cantilever": "no"})
    use_shop_headshell(shop, number, "number 2")
    gate = gates_of(shop, number)[2]
    assert gate.state == "open"
    assert gate.questions[0].why == (
        "the tip is missing, worn or not yet seen; played with the shop's own headshell (number 2)"
    )
    assert taken_in(shop, number).options.headshell == "number 2"
    answer_gate(shop, number, "play", "arm_floats", "no")
    assert gates_of(shop, number)[2].state == "closed"


@pytest.mark.parametrize("how", ["dry", "rough"])
def test_dry_or_rough_allows_one_take(shop: Shop, how: str) -> None:
    number = arrived(shop)
    answer_all(shop, number, {"turned_by_hand": how})
    first = taken_in(shop, number)
    assert first.cold_short
    assert taken_in(shop, number) == first, "sent again, it is the same take"
    with pytest.raises(NotOpenYet, match=r"one take of at most 60 s is allowed, and side-a\.wav is it"):
        taken_in(shop, number, serial=1)


def test_smooth_allows_as_many_as_wanted(shop: Shop) -> None:
    number = at_before(shop)
    assert [taken_in(shop, number, serial=serial).cold_short for serial in range(3)] == [False] * 3


def test_a_reading_that_needs_no_running_stays_open(shop: Shop) -> None:
    number = at_work(shop)
    answer_gate(shop, number, "run", "belt", "no")
    with pytest.raises(NotOpenYet, match="Speed by counted turns is not open: the deck is not fit to run"):
        add_reading(shop, number, "work", counted_turns(TAPS_S))


def test_every_question_is_a_step_of_the_table_of_cautions() -> None:
    asked = {step_of(gate.key, question.key) for gate in GATES for question in gate.questions}
    assert asked == {key for key in steps() if key.startswith("gate.")}
