"""The one next step at every moment of a job, walked as a technician walks it."""

from __future__ import annotations

import io

import pytest
from bench_day import answer_all, arrived, at_after, at_before, at_work, measured_one, taken_in

from spindlewright.shop.arrival import ArrivalChange, NewJob, change_arrival, new_job, use_shop_headshell
from spindlewright.shop.function_list import functions_for
from spindlewright.shop.functions import check_function
from spindlewright.shop.gates import answer_gate
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.hand_readings import typed_reading, withdraw_reading
from spindlewright.shop.handover import HandOver, hand_over
from spindlewright.shop.job_card import job_card
from spindlewright.shop.left_undone import leave_undone
from spindlewright.shop.listening import tick
from spindlewright.shop.photos import add_photo
from spindlewright.shop.recordings import no_recording_possible
from spindlewright.shop.soak import soak_run
from spindlewright.shop.store import Shop
from spindlewright.shop.tasks import NewTask, add_task
from spindlewright.shop.views.recordings import CaptureOptions
from spindlewright.shop.views.stages import STAGES
from spindlewright.shop.waiting import wait_for


def now(shop: Shop, number: str) -> tuple[str, str]:
    """Stage and place on the page of the next step; on the way: exactly one stage is now, and it is that one."""
    card = job_card(shop, number)
    marked = [stage.key for stage in card.stages if stage.state == "now"]
    assert marked == ([card.next_step.stage] if card.handover is None else [])
    assert [stage.key for stage in card.stages] == [key for key, _ in STAGES]
    assert all(bool(stage.why) == (stage.state == "closed") for stage in card.stages)
    return card.next_step.stage, card.next_step.anchor


def test_the_whole_way(shop: Shop) -> None:
    number = new_job(shop, NewJob(deck="unit 3", complaint="slow", owner_name="Town library"))
    assert now(shop, number) == ("arrival", "arrival-condition")
    version = change_arrival(shop, number, job_card(shop, number).job.version, ArrivalChange(condition="dusty"))
    assert now(shop, number) == ("arrival", "arrival-agreement")
    change_arrival(shop, number, version, ArrivalChange(look_over_fee="0"))
    for gate in job_card(shop, number).gates:
        for question in gate.questions:
            assert now(shop, number) == ("arrival", f"gate-{gate.key}-{question.key}")
            answer_gate(shop, number, gate.key, question.key, "yes" if "yes" in question.answers else "smooth")
    assert now(shop, number) == ("before", "before-recordings")
    measured_one(shop, number)
    assert now(shop, number) == ("before", "before-functions")
    check_function(shop, number, "before", "start", "works")
    assert now(shop, number) == ("go_ahead", "go_ahead")
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone"))
    assert now(shop, number) == ("work", "work-tasks")
    add_task(shop, number, NewTask("belt renewed"))
    assert now(shop, number) == ("set_up", "set_up-hand")
    typed_reading(shop, number, "set_up", "tracking_force", "1,8 g", "scale")
    assert now(shop, number) == ("after", "after-recordings")
    measured_one(shop, number, "after")
    for key, _ in functions_for((100.0 / 3.0, 45.0)):
        assert now(shop, number) == ("after", "after-functions")
        check_function(shop, number, "after", key, "works")
    assert now(shop, number) == ("after", "after-soak")
    soak_run(shop, number, 120.0)
    for item in job_card(shop, number).listening:
        assert now(shop, number) == ("after", "after-listening")
        tick(shop, number, item.key)
    assert now(shop, number) == ("handover", "handover")
    photo = add_photo(shop, number, "handover", "lid.png", io.BytesIO(b"\x89PNG\r\n\x1a\n" + bytes(9)), "lid")
    left = leave_undone(shop, number, "foot", "no part")
    wait_for(shop, number, "the owner to come by")
    withdraw_reading(shop, typed_reading(shop, number, "after", "tracking_force", "9 g", "scale"), "slip")
    hand_over(shop, number, HandOver(price="75,50"))
    card = job_card(shop, number)
    assert (card.photos, card.left_undone, card.job.waiting_for) == ((photo,), (left,), "the owner to come by")
    assert now(shop, number) == ("handover", "handover")
    assert {stage.state for stage in job_card(shop, number).stages} == {"done"}


def test_the_shops_own_deck_needs_no_agreement(sqlite_shop: Shop) -> None:
    number = new_job(sqlite_shop, NewJob(deck="unit 3", own_deck=True, condition="dusty"))
    assert now(sqlite_shop, number) == ("arrival", "gate-plug_in-lead")


def test_what_is_closed_says_what_opens_it(sqlite_shop: Shop) -> None:
    number = arrived(sqlite_shop)
    why = {stage.key: stage.why for stage in job_card(sqlite_shop, number).stages}
    assert why == {
        "arrival": "",
        "before": 'opens when the gates of Arrival are answered; next is "Fit to plug in?"',
        "go_ahead": "",
        "work": "opens with the owner's yes, or with \"shop's own deck\"",
        "set_up": "opens with the owner's yes, or with \"shop's own deck\"",
        "after": "opens with the owner's yes, or with \"shop's own deck\"",
        "handover": "opens with the owner's answer at Go-ahead",
    }


def test_not_fit_to_play(sqlite_shop: Shop) -> None:
    number = arrived(sqlite_shop)
    answer_all(sqlite_shop, number, {"tip": "no"})
    step = job_card(sqlite_shop, number).next_step
    assert step.words == (
        "Not fit to play, because the tip is missing, worn or not yet seen. Take the hum with the arm lifted, or "
        'write "could not be read on arrival", with the reason.'
    )
    answer_gate(sqlite_shop, number, "plug_in", "burning", "no")
    assert job_card(sqlite_shop, number).next_step.words.startswith(
        'Not fit to plug in, because there are signs of burning. Write "could not be read on arrival"'
    )
    no_recording_possible(sqlite_shop, number, "before", "signs of burning")
    assert now(sqlite_shop, number) == ("go_ahead", "go_ahead")


def test_hum_before_alone_still_wants_a_disc_after_and_the_gate_answered(sqlite_shop: Shop) -> None:
    shop, number = sqlite_shop, arrived(sqlite_shop)
    answer_all(shop, number, {"tip": "no"})
    lifted = CaptureOptions(arm_lifted=True)
    measured_one(shop, number, options=lifted)
    check_function(shop, number, "before", "start", "works")
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone"))
    add_task(shop, number, NewTask("tip renewed"))
    typed_reading(shop, number, "set_up", "tracking_force", "1,8 g", "scale")
    assert (
        job_card(shop, number).next_step.words
        == "Repeat what Before used: before-0.wav (arm lifted), recorded the same way."
    )
    measured_one(shop, number, "after", options=lifted)
    assert now(shop, number) == ("after", "gate-play")
    answer_gate(shop, number, "play", "tip", "yes")
    assert now(shop, number) == ("after", "after-recordings")
    measured_one(shop, number, "after", serial=1)
    assert now(shop, number) == ("after", "after-functions")


@pytest.mark.parametrize("how", ["dry", "rough"])
def test_dry_or_rough(sqlite_shop: Shop, how: str) -> None:
    shop, number = sqlite_shop, arrived(sqlite_shop)
    answer_all(shop, number, {"turned_by_hand": how})
    assert job_card(shop, number).next_step.words.startswith("Take one recording of at most 60 s, cold")
    measured_one(shop, number)
    check_function(shop, number, "before", "start", "works")
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone"))
    add_task(shop, number, NewTask("bearing cleaned"))
    typed_reading(shop, number, "set_up", "tracking_force", "1,8 g", "scale")
    assert now(shop, number) == ("after", "gate-run-turned_by_hand")
    answer_gate(shop, number, "run", "turned_by_hand", "smooth")
    assert now(shop, number) == ("after", "after-recordings")


def test_after_asks_first_for_a_repeat_of_whatever_before_used(sqlite_shop: Shop) -> None:
    shop, number = sqlite_shop, at_before(sqlite_shop)
    disc = CaptureOptions(disc="listening-room-set-up-disc", rpm=45.0)
    measured_one(shop, number, serial=0, options=disc)
    measured_one(shop, number, serial=1, options=disc)
    use_shop_headshell(shop, number, "number 2")
    measured_one(shop, number, serial=2)
    use_shop_headshell(shop, number, "")
    check_function(shop, number, "before", "start", "works")
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone"))
    add_task(shop, number, NewTask("belt renewed"))
    typed_reading(shop, number, "set_up", "tracking_force", "1,8 g", "scale")
    card = job_card(shop, number)
    assert [(repeat.words, repeat.done) for repeat in card.repeats_asked] == [
        ("before-0.wav (listening-room-set-up-disc, 45 rpm)", False),
        ("before-2.wav (shop's own headshell: number 2)", False),
    ]
    assert card.next_step.words == (
        "Repeat what Before used: before-0.wav (listening-room-set-up-disc, 45 rpm), recorded the same way."
    )
    measured_one(shop, number, "after", serial=0)
    assert [repeat.done for repeat in job_card(shop, number).repeats_asked] == [False, False], "another way"
    measured_one(shop, number, "after", serial=1, options=disc)
    assert job_card(shop, number).next_step.words == (
        "Repeat what Before used: before-2.wav (shop's own headshell: number 2), recorded the same way."
    )
    measured_one(shop, number, "after", serial=2, options=CaptureOptions(headshell="Number 2"))
    assert now(shop, number) == ("after", "after-functions")


def test_while_measuring_there_is_something_else_to_do(sqlite_shop: Shop) -> None:
    number = at_before(sqlite_shop)
    taken_in(sqlite_shop, number)
    assert now(sqlite_shop, number) == ("before", "before-functions")
    check_function(sqlite_shop, number, "before", "start", "works")
    assert job_card(sqlite_shop, number).next_step.words == (
        "Wait for the readings of side-a.wav: measuring goes on by itself."
    )


def test_once_work_has_begun_arrival_is_past(sqlite_shop: Shop) -> None:
    number = at_after(sqlite_shop)
    card = job_card(sqlite_shop, number)
    assert card.next_step.stage == "set_up"
    assert card.stage("before").summary == "nothing was read before the work"


def test_the_first_next_move_is_the_next_step_of_work(sqlite_shop: Shop) -> None:
    from bench_day import reading_object

    shop = sqlite_shop
    number = at_before(shop, drive="belt", motor="dc", abilities={"speed_trim": "shared"})
    measured_one(shop, number, readings=[reading_object(value=-2.0)], findings=[])
    check_function(shop, number, "before", "start", "works")
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone"))
    card = job_card(shop, number)
    first = next(move for move in card.moves["before"] if move.kind in ("adjust", "suspect"))
    assert card.next_step.words == f"{first.sentence} Tick it as a task when it is done."
    assert "2.0" in card.headlines["before"].sentence.replace("2.00", "2.0")


def test_one_odd_reading_does_not_close_the_card(sqlite_shop: Shop) -> None:
    from bench_day import reading_object

    number = at_after(sqlite_shop)
    odd = reading_object("rotation_rate", -0.5, unit="rpm")
    for stage in ("before", "after"):
        measured_one(sqlite_shop, number, stage, readings=[odd])
    card = job_card(sqlite_shop, number)
    assert len(card.readings) == 2
    assert all(remark.startswith(("Before and After could not", "No next moves")) for remark in card.remarks)


def test_planned_tasks_come_one_by_one(sqlite_shop: Shop) -> None:
    number = at_work(sqlite_shop)
    add_task(sqlite_shop, number, NewTask("belt renewed"))
    add_task(sqlite_shop, number, NewTask("oil the bearing", done=False))
    add_task(sqlite_shop, number, NewTask("set the height", stage="set_up", done=False))
    assert job_card(sqlite_shop, number).next_step.words == "Do: oil the bearing"
