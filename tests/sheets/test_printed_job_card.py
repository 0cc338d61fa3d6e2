"""The printed card holds every stage, question, unit and caution, and boxes to tick.

Witnesses: the tables that page and commands draw from; what stands on paper is read back by poppler.
"""

from __future__ import annotations

from collections.abc import Callable

import pdf_reader
import pytest

from spindlewright.readings.hand_readings import HAND_QUANTITIES
from spindlewright.sheets.printed_job_card import card_content
from spindlewright.shop.function_list import LISTENING
from spindlewright.shop.gate_questions import GATES
from spindlewright.shop.settings import ShopSettings
from spindlewright.shop.views.card import JobCard
from spindlewright.standards.cautions import cautions_for, steps
from system_packages import needs

Sheet = Callable[..., bytes]
pytestmark = needs("poppler-utils")
STAGES = ("1 Arrival", "2 Before", "3 Go-ahead", "4 Work", "5 Set-up", "6 After", "7 Handover")


@pytest.mark.parametrize("kind", ["bare_job", "full_job"])
def test_it_has_the_seven_stages_in_order(sheet: Sheet, kind: str) -> None:
    told = pdf_reader.text(sheet("card", kind))
    places = [told.index(stage) for stage in STAGES]
    assert places == sorted(places)


def test_it_asks_every_question_and_lists_every_hand_reading_with_its_unit(sheet: Sheet) -> None:
    told = pdf_reader.text(sheet("card", "bare_job"))
    for gate in GATES:
        assert gate.title in told
        for question in gate.questions:
            assert " ".join(question.words.split()[:4]) in told
    for row in HAND_QUANTITIES.values():
        assert row.title in told
        assert row.shown_in in told
    for _, words in LISTENING:
        assert words in told
    assert told.count("does not apply") >= sum(len(gate.questions) for gate in GATES)


@pytest.mark.parametrize("kind", ["bare_job", "full_job", "huge_job"])
def test_every_step_with_a_danger_shows_its_cautions(sheet: Sheet, kind: str) -> None:
    told = pdf_reader.text(sheet("card", kind))
    for step in steps():
        if step.startswith(("gate.", "hand.", "soak_run", "handover.")):
            for caution in cautions_for(step):
                assert caution.text in told, step


def test_each_question_and_hand_reading_refers_to_its_own_cautions(card_of: Callable[[str], JobCard]) -> None:
    content = card_content(card_of("bare_job"), ShopSettings())
    for gate, part in zip(GATES, content.gates, strict=True):
        told = {one.number: one.words for one in part.cautions}
        for question, row in zip(gate.questions, part.questions, strict=True):
            wanted = {one.text for one in cautions_for(f"gate.{gate.key}.{question.key}")}
            assert {told[number] for number in row.caution_numbers.split(", ")} == wanted
    told = {one.number: one.words for one in content.hand_cautions}
    force = next(row for row in content.hand if row.title == "Tracking force")
    wanted = {one.text for one in cautions_for("hand.tracking_force")}
    assert {told[number] for number in force.caution_numbers.split(", ")} == wanted


def test_answers_given_are_ticked_and_others_are_not(card_of: Callable[[str], JobCard]) -> None:
    bare = card_content(card_of("bare_job"), ShopSettings())
    assert not any(box.ticked for part in bare.gates for row in part.questions for box in row.boxes)
    closed = card_content(card_of("job_without_cartridge"), ShopSettings())
    tip = next(row for part in closed.gates for row in part.questions if row.words.startswith("Tip"))
    assert [(box.words, box.ticked) for box in tip.boxes] == [("yes", False), ("no", True), ("does not apply", False)]


def test_the_job_number_is_the_largest_thing_on_the_card(sheet: Sheet, card_of: Callable[[str], JobCard]) -> None:
    _, _, words = pdf_reader.boxes(sheet("card", "bare_job"))
    largest = max(words, key=lambda word: word.bottom - word.top)
    assert (largest.words, largest.page) == (card_of("bare_job").job.number, 1)
    assert largest.bottom - largest.top > 30.0
