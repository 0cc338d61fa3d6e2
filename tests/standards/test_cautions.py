"""The table of cautions: whole, sourced, and shown wherever a step carries a danger."""

from __future__ import annotations

import pytest

from spindlewright.readings.hand_readings import HAND_QUANTITIES
from spindlewright.setup.next_moves import REGISTER
from spindlewright.shop.gate_questions import GATES
from spindlewright.standards.cautions import (
    TAGS,
    UnknownStepError,
    all_cautions,
    caution,
    cautions_for,
    steps,
)


def test_every_caution_is_whole() -> None:
    ids = [one.id for one in all_cautions()]
    assert len(ids) == len(set(ids))
    for one in all_cautions():
        assert one.tags
        assert set(one.tags) <= set(TAGS)
        assert one.text.endswith(".")
        assert one.source
        assert one.basic or one.steps, f"{one.id} would never be shown"


@pytest.mark.parametrize("tag", TAGS)
def test_each_tag_has_a_caution_of_its_own(tag: str) -> None:
    shown = cautions_for(tag)
    assert shown
    assert all(tag in one.tags for one in shown)
    assert cautions_for({tag}) == shown


@pytest.mark.parametrize("key", sorted(steps()))
def test_a_tagged_step_shows_one_for_each_of_its_tags(key: str) -> None:
    """The rule of the design: a step tagged with a danger that shows no caution of it is a fault."""
    assert steps()[key].tags
    assert set(steps()[key].tags) <= set(TAGS)
    shown = cautions_for(key)
    for tag in steps()[key].tags:
        assert any(tag in one.tags for one in shown), f"{key} is tagged {tag} and shows no caution of it"


@pytest.mark.parametrize("quantity", sorted(HAND_QUANTITIES))
def test_every_reading_by_hand_shows_its_cautions(quantity: str) -> None:
    assert cautions_for(f"hand.{quantity}")


@pytest.mark.parametrize("question", [f"gate.{gate.key}.{q.key}" for gate in GATES for q in gate.questions])
def test_every_question_of_the_gates_shows_its_cautions(question: str) -> None:
    assert cautions_for(question)


@pytest.mark.parametrize("step", sorted({step for _, _, named in REGISTER for step in named}))
def test_every_move_that_names_a_step_shows_its_cautions(step: str) -> None:
    assert cautions_for(step)


def test_a_task_of_the_shops_own_wording_is_covered_by_its_tags() -> None:
    shown = cautions_for("task.something new", ("mains", "capacitor"))
    assert {"mains-unplug", "capacitor-discharge"} <= {one.id for one in shown}


def test_what_the_table_does_not_know_is_refused_by_name() -> None:
    with pytest.raises(UnknownStepError, match="did you mean hand"):
        cautions_for("hand.tracking_forces")
    with pytest.raises(UnknownStepError, match="no tag 'fire'"):
        cautions_for({"fire"})
    with pytest.raises(UnknownStepError, match="no caution 'nothing'"):
        caution("nothing")


def test_the_earth_stays_and_no_live_motor_is_held() -> None:
    """Hard rules of the design, in the words people see."""
    assert "Never lift the protective earth" in caution("mains-protective-earth").text
    assert "mains-protective-earth" in {one.id for one in cautions_for("move.hum")}
    assert "Never hold a motor that is switched on" in caution("rotating-hands-off").text
    for one in all_cautions():
        assert "lift the earth" not in one.text.lower()
