"""Whatever number or word comes in by a page's address or a form gets one sentence, never a fault of the database."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from bench_day import at_after

from spindlewright.shop.arrival import NewJob, decks_like, new_job
from spindlewright.shop.errors import ShopError
from spindlewright.shop.hand_readings import withdraw_reading
from spindlewright.shop.job_card import job_card
from spindlewright.shop.jobs_list import jobs
from spindlewright.shop.left_undone import leave_undone, take_back
from spindlewright.shop.photos import photo_of
from spindlewright.shop.recordings import capture_of, measure_again
from spindlewright.shop.store import Shop
from spindlewright.shop.tasks import drop_task, task_done
from spindlewright.shop.watched_folder import join_folder

ODD_NUMBERS = [0, -1, 7, 2**31, 2**63, 10**40]
ODD_WORDS = ["\x00", "\ud800", "%", "_", "\\", "x" * 100_000, "' OR 1=1 --", "\u202e", "🎶 " * 50]


def test_ids_that_are_not_there(shop: Shop) -> None:
    job = at_after(shop)
    asked: list[Callable[[int], object]] = [
        lambda number: capture_of(shop, number),
        lambda number: measure_again(shop, number),
        lambda number: withdraw_reading(shop, number, "slip"),
        lambda number: task_done(shop, number),
        lambda number: drop_task(shop, number),
        lambda number: take_back(shop, number),
        lambda number: photo_of(shop, job, number),
        lambda number: new_job(shop, NewJob(deck_id=number)),
    ]
    for number in ODD_NUMBERS:
        for ask in asked:
            with pytest.raises(ShopError, match="There is no"):
                ask(number)
        assert jobs(shop, limit=number, offset=number).total == 1


def test_words_of_any_kind(shop: Shop) -> None:
    job = at_after(shop)
    for words in ODD_WORDS:
        assert jobs(shop, words).total in (0, 1)
        decks_like(shop, words)
        with pytest.raises(ShopError, match="There is no job"):
            job_card(shop, words)
        with pytest.raises(ShopError, match="watched folder: found"):
            join_folder(shop, f"~{words}/none", job, "after")
        leave_undone(shop, job, f"what{words[:100]}", words[:100] + "why")
    assert len(job_card(shop, job).left_undone) == len(ODD_WORDS)
