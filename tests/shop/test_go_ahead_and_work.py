"""Go-ahead: Work and After open only with the owner's yes, or on the shop's own deck."""

from __future__ import annotations

import io
from decimal import Decimal

import pytest
from bench_day import answer_all, arrived, at_after, at_before, at_work, taken_in

from spindlewright.shop.errors import NotAccepted, NotFound, NotOpenYet
from spindlewright.shop.functions import check_function
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.hand_readings import typed_reading, withdraw_reading
from spindlewright.shop.handover import HandOver, hand_over, open_again
from spindlewright.shop.job_card import job_card
from spindlewright.shop.left_undone import leave_undone, take_back
from spindlewright.shop.listening import tick
from spindlewright.shop.photos import add_photo, photo_of
from spindlewright.shop.recordings import no_recording_possible
from spindlewright.shop.soak import soak_run
from spindlewright.shop.store import Shop
from spindlewright.shop.tasks import NewTask, add_task, drop_task, task_done
from spindlewright.shop.waiting import wait_for


@pytest.fixture
def shop(sqlite_shop: Shop) -> Shop:
    """No database changes these rules; the whole way on both is walked in ``test_one_next_step.py``."""
    return sqlite_shop


def work_tried(shop: Shop, number: str) -> list[str]:
    """What of the work is refused."""
    tries = {
        "work": lambda: add_task(shop, number, NewTask("belt renewed")),
        "set-up": lambda: add_task(shop, number, NewTask("force set", stage="set_up")),
        "recording after": lambda: taken_in(shop, number, "after"),
        "reading after": lambda: typed_reading(shop, number, "after", "tracking_force", "1,8 g", ""),
        "function after": lambda: check_function(shop, number, "after", "start", "works"),
        "soak": lambda: soak_run(shop, number, 60.0),
        "listening": lambda: tick(shop, number, "mono_voice"),
        "handover": lambda: hand_over(shop, number),
    }
    refused = []
    for name, attempt in tries.items():
        try:
            attempt()
        except NotOpenYet:
            refused.append(name)
    return refused


EVERYTHING = ["work", "set-up", "recording after", "reading after", "function after", "soak", "listening", "handover"]


def test_nothing_without_the_go_ahead(shop: Shop) -> None:
    assert work_tried(shop, at_before(shop)) == EVERYTHING


def test_the_owners_yes_opens_the_work(sqlite_shop: Shop) -> None:
    number = at_before(sqlite_shop)
    give_go_ahead(sqlite_shop, number, GoAhead("owner_yes", "Town library", how="by telephone", sum="80,50"))
    given = job_card(sqlite_shop, number).go_ahead
    assert given is not None
    assert given.sum == Decimal("80.50")
    assert given.words == "Town library said yes on 2026-03-02, by telephone, up to 80.50 EUR."
    add_task(sqlite_shop, number, NewTask("belt renewed"))
    taken_in(sqlite_shop, number, "after")


def test_the_owners_no_closes_it_and_opens_the_handover(sqlite_shop: Shop) -> None:
    number = at_before(sqlite_shop)
    give_go_ahead(sqlite_shop, number, GoAhead("owner_no", how="by telephone"))
    with pytest.raises(NotOpenYet, match=r"the owner said no on 2026-03-02\. A later yes opens it"):
        add_task(sqlite_shop, number, NewTask("belt renewed"))
    assert job_card(sqlite_shop, number).next_step.words.startswith("The owner said no")
    hand_over(sqlite_shop, number)


def test_a_later_yes_counts_instead_of_a_no(sqlite_shop: Shop) -> None:
    number = at_before(sqlite_shop)
    give_go_ahead(sqlite_shop, number, GoAhead("owner_no", how="by telephone"))
    give_go_ahead(sqlite_shop, number, GoAhead("owner_yes", how="at the counter"))
    add_task(sqlite_shop, number, NewTask("belt renewed"))


def test_own_deck_only_when_the_shop_owns_it(sqlite_shop: Shop) -> None:
    theirs, ours = at_before(sqlite_shop), arrived(sqlite_shop, own_deck=True, owner_name="", stop_sum=None)
    with pytest.raises(NotAccepted, match="shop's own deck, but the deck has another owner"):
        give_go_ahead(sqlite_shop, theirs, GoAhead("own_deck"))
    answer_all(sqlite_shop, ours)
    give_go_ahead(sqlite_shop, ours, GoAhead("own_deck"))
    assert job_card(sqlite_shop, ours).go_ahead.words == "The shop's own deck, decided on 2026-03-02."  # type: ignore[union-attr]


def test_a_yes_says_how_and_who(sqlite_shop: Shop) -> None:
    number = at_before(sqlite_shop, owner_name="")
    with pytest.raises(NotAccepted, match="who: found nothing"):
        give_go_ahead(sqlite_shop, number, GoAhead("owner_yes", how="by telephone"))
    with pytest.raises(NotAccepted, match="how: found nothing"):
        give_go_ahead(sqlite_shop, number, GoAhead("owner_yes", who="the owner"))


def test_tasks_are_planned_ticked_and_dropped(shop: Shop) -> None:
    number = at_work(shop)
    no_recording_possible(shop, number, "before", "no cartridge")
    check_function(shop, number, "before", "start", "works")
    planned = add_task(shop, number, NewTask("oil the bearing", template="bearing.oil", done=False))
    assert planned.done_at is None
    assert planned.step == "task.bearing.oil"
    assert job_card(shop, number).next_step.words == "Do: oil the bearing"
    done = task_done(shop, planned.id, result="runs longer", parts="oil")
    assert done.done_at is not None
    assert (done.result, done.parts) == ("runs longer", "oil")
    with pytest.raises(NotFound, match="A task that was done stays"):
        drop_task(shop, planned.id)
    other = add_task(shop, number, NewTask("new lid", done=False))
    drop_task(shop, other.id)
    assert [task.words for task in job_card(shop, number).tasks] == ["oil the bearing"]


def test_after_in_its_parts(shop: Shop) -> None:
    number = at_after(shop)
    functions = check_function(shop, number, "after", "speed_45", "does not", "belt slips")
    assert next(item for item in functions if item.key == "speed_45").note_after == "belt slips"
    functions = check_function(shop, number, "after", "speed_45", "works")
    assert next(item for item in functions if item.key == "speed_45").after == "works"
    assert soak_run(shop, number, 180.0, note="45 min at 45").words == "Soak run of 3 h, ran through: 45 min at 45."
    ticked = tick(shop, number, "quiet_passage", "not good", "hum")
    assert next(item for item in ticked if item.key == "quiet_passage").answer == "not good"
    with pytest.raises(NotAccepted, match="length of the soak run: found 0 min"):
        soak_run(shop, number, 0.0)


def test_a_slip_in_a_hand_reading_stays_and_counts_no_more(shop: Shop) -> None:
    number = at_before(shop)
    slip = typed_reading(shop, number, "before", "tracking_force", "18 g".replace("18", "2.8"), "scale")
    typed_reading(shop, number, "before", "tracking_force", "1,8 g", "scale")
    withdraw_reading(shop, slip, "scale not zeroed")
    card = job_card(shop, number)
    assert [view.withdrawn for view in card.readings] == ["scale not zeroed", ""]
    (counts,) = card.readings_of("before")
    # 1.8 g × 9.80665 m/s² = 17.652 mN
    assert counts.reading.value == pytest.approx(17.65197, abs=1e-4)
    assert counts.reading.method == "by hand"


def test_a_hand_reading_that_cannot_be_is_refused_in_its_own_words(sqlite_shop: Shop) -> None:
    number = at_before(sqlite_shop)
    with pytest.raises(NotAccepted, match="Tracking force") as problem:
        typed_reading(sqlite_shop, number, "before", "tracking_force", "a lot", "scale")
    assert problem.value.field == "tracking_force"
    assert "allowed is Tracking" not in str(problem.value)


def test_photos_are_told_by_their_bytes(shop: Shop) -> None:
    number = arrived(shop)
    png = b"\x89PNG\r\n\x1a\n" + bytes(20)
    photo = add_photo(shop, number, "arrival", "../lid\n.jpg", io.BytesIO(png), "scratch on the lid")
    assert (photo.media_type, photo.file_name) == ("image/png", "lid .jpg")
    assert shop.files.path_of(photo.sha256).read_bytes() == png
    assert photo_of(shop, number, photo.id) == photo
    with pytest.raises(NotAccepted, match=r"script\.svg, no picture, allowed is JPEG, PNG or WebP"):
        add_photo(shop, number, "arrival", "script.svg", io.BytesIO(b"<svg onload='x'/>"))


def test_what_is_left_undone(shop: Shop) -> None:
    number = at_work(shop)
    left = leave_undone(shop, number, "hum of 50 Hz", "field of its own transformer; no room for a screen")
    assert job_card(shop, number).left_undone == (left,)
    take_back(shop, left.id)
    assert job_card(shop, number).left_undone == ()


def test_handed_over_is_closed_and_can_be_opened_again(shop: Shop) -> None:
    number = at_after(shop)
    hand_over(shop, number, HandOver(to_whom="Town library", stands_for_it="the bench", price="75,50"))
    card = job_card(shop, number)
    assert card.handover is not None
    assert card.handover.price == Decimal("75.50")
    assert card.job.handed_over_at == card.handover.at
    with pytest.raises(NotOpenYet, match=f"Job {number} was handed over on 2026-03-02. Open it again"):
        leave_undone(shop, number, "lid", "no part")
    open_again(shop, number, "lid came after all")
    leave_undone(shop, number, "foot", "no part")
    assert job_card(shop, number).handover is None


def test_no_handover_while_something_is_measured(shop: Shop) -> None:
    number = at_after(shop)
    taken_in(shop, number, "after", "last.wav")
    with pytest.raises(NotOpenYet, match=r"last\.wav is still being measured"):
        hand_over(shop, number)


def test_waiting_for_a_part(shop: Shop) -> None:
    number = at_work(shop)
    wait_for(shop, number, "belt, ordered on Monday")
    assert job_card(shop, number).job.waiting_for == "belt, ordered on Monday"
    wait_for(shop, number, "")
    assert job_card(shop, number).job.waiting_for == ""
