"""The jobs list: places, words, newest first."""

from __future__ import annotations

import pytest
from bench_day import arrived, at_after, at_before, at_work, measured_one

from spindlewright.shop.errors import NotAccepted
from spindlewright.shop.functions import check_function
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.handover import hand_over
from spindlewright.shop.job_card import job_card
from spindlewright.shop.jobs_list import PLACES, jobs
from spindlewright.shop.store import Shop
from spindlewright.shop.waiting import wait_for


def place_of(shop: Shop, number: str) -> str:
    (row,) = jobs(shop, number).rows
    return row.place


def test_a_job_goes_from_place_to_place(shop: Shop) -> None:
    number = at_before(shop)
    assert place_of(shop, number) == "on the bench"
    measured_one(shop, number)
    check_function(shop, number, "before", "start", "works")
    assert place_of(shop, number) == "waiting"
    assert jobs(shop, number).rows[0].waiting_for == "the owner's answer"
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone"))
    assert place_of(shop, number) == "on the bench"
    wait_for(shop, number, "belt")
    assert place_of(shop, number) == "waiting"
    wait_for(shop, number, "")
    hand_over(shop, number)
    assert place_of(shop, number) == "handed over"


def test_the_line_says_what_the_card_says(shop: Shop) -> None:
    for number in (arrived(shop), at_before(shop), at_work(shop), at_after(shop)):
        (row,) = jobs(shop, number).rows
        card = job_card(shop, number)
        assert (row.stage, row.next_words) == (card.next_step.stage, card.next_step.words)
        assert (row.deck, row.owner, row.complaint) == ("belt deck, unit 3", "Town library", "plays too slow")


def test_every_word_must_be_there_capitals_do_not_matter(shop: Shop) -> None:
    first = arrived(shop, deck="Grey idler deck", serial="SN-100%", owner_name="Ægir", complaint="thumps")
    second = arrived(shop, deck="grey belt deck", owner_name="École", complaint="hum_ms")
    found = {
        words: {row.number for row in jobs(shop, words).rows}
        for words in ("grey", "GREY IDLER", "ægir", "ÉCOLE hum", "100%", "%", "hum_", "idler belt", first, "")
    }
    assert found == {
        "grey": {first, second},
        "GREY IDLER": {first},
        "ægir": {first},
        "ÉCOLE hum": {second},
        "100%": {first},
        "%": {first},
        "hum_": {second},
        "idler belt": set(),
        first: {first},
        "": {first, second},
    }


def test_newest_change_first_counts_and_pages(shop: Shop) -> None:
    numbers = [arrived(shop) for _ in range(5)]
    wait_for(shop, numbers[1], "belt")
    page = jobs(shop, limit=2)
    assert [row.number for row in page.rows] == [numbers[1], numbers[4]]
    assert (page.total, page.more) == (5, 3)
    assert page.counts == {"on the bench": 4, "waiting": 1, "ready": 0, "handed over": 0}
    rest = jobs(shop, limit=3, offset=2)
    assert [row.number for row in rest.rows] == [numbers[3], numbers[2], numbers[0]]
    waiting = jobs(shop, place="waiting")
    assert ([row.number for row in waiting.rows], waiting.total) == ([numbers[1]], 1)
    assert tuple(page.counts) == PLACES
    with pytest.raises(NotAccepted, match="place: found 'attic'"):
        jobs(shop, place="attic")
