"""Handover: the deck given back, which ends the job; and the job opened again when the deck comes back with it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from spindlewright.shop import accepted
from spindlewright.shop.errors import NotOpenYet
from spindlewright.shop.settings import settings_in
from spindlewright.shop.stages import why_closed
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_job, open_job, summarise
from spindlewright.shop.tables.work import Handover


@dataclass(frozen=True, slots=True)
class HandOver:
    """``to_whom`` the deck was given, who ``stands_for_it`` (default: as set for the shop), what it came to."""

    to_whom: str = ""
    stands_for_it: str = ""
    price: Decimal | str | None = None
    note: str = ""


def hand_over(shop: Shop, number: str, given: HandOver | None = None) -> None:
    """Give the deck back: the job is closed and can no longer be changed. What After still wants may be left; the
    sheet says what there is."""
    given = given or HandOver()
    with shop.writing() as session:
        job = open_job(session, number)
        facts = summarise(shop, session, job)
        if why := why_closed(facts, "handover"):
            raise NotOpenYet(f"Handover is not open yet: it {why}.")
        _nothing_being_measured(facts.captures_of("before") + facts.captures_of("after"))
        session.add(
            Handover(
                job_id=job.id,
                kind="handed_over",
                to_whom=accepted.line("to whom", given.to_whom or job.owner.name),
                stands_for_it=accepted.line(
                    "stands for it", given.stands_for_it or settings_in(session).stands_for_it
                ),
                price=accepted.money("price", given.price),
                currency=job.currency,
                note=accepted.text("note", given.note),
                at=shop.now(),
            )
        )
        summarise(shop, session, job)


def open_again(shop: Shop, number: str, why: str) -> None:
    """Open a job again that was handed over."""
    with shop.writing() as session:
        job = find_job(session, number)
        session.add(
            Handover(job_id=job.id, kind="reopened", note=accepted.text("why", why, needed=True), at=shop.now())
        )
        summarise(shop, session, job)


def _nothing_being_measured(captures: tuple[object, ...]) -> None:
    waiting = [capture for capture in captures if getattr(capture, "state", "") in ("stored", "measuring")]
    if waiting:
        raise NotOpenYet(
            f"{getattr(waiting[0], 'file_name', 'A recording')} is still being measured. Wait until it is done."
        )
