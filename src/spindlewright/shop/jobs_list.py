"""The jobs list: what is on the bench, waiting, ready; searched by words."""

from __future__ import annotations

from typing import Any, cast

from sqlalchemy import ColumnElement, func, select

from spindlewright.shop import accepted
from spindlewright.shop.store import Shop
from spindlewright.shop.tables.decks import Deck, Owner
from spindlewright.shop.tables.jobs import Job, JobSummary
from spindlewright.shop.views.lists import JobRow, JobsPage
from spindlewright.shop.views.stages import TITLES

PLACES = ("on the bench", "waiting", "ready", "handed over")
ALL = "all"
MOST_WORDS = 8


def jobs(shop: Shop, words: str = "", place: str = ALL, limit: int = 50, offset: int = 0) -> JobsPage:
    """Jobs that have every one of ``words`` in number, deck, serial, owner or complaint (capitals do not matter),
    in one place or all, the newest change first."""
    accepted.choice("place", place, (*PLACES, ALL))
    found: list[ColumnElement[bool]] = [
        JobSummary.search_text.contains(word, autoescape=True) for word in words.casefold().split()[:MOST_WORDS]
    ]
    with shop.reading() as session:
        counts = {
            key: int(count)
            for key, count in session.execute(
                select(JobSummary.place, func.count()).where(*found).group_by(JobSummary.place)
            )
        }
        here = [JobSummary.place == place] if place != ALL else []
        rows = session.execute(
            select(
                Job.number,
                Deck.description,
                Owner.name,
                Owner.is_shop,
                Job.complaint,
                Job.arrived_at,
                JobSummary.place,
                JobSummary.stage,
                JobSummary.next_words,
                JobSummary.waiting_for,
                JobSummary.changed_at,
            )
            .select_from(JobSummary)
            .join(Job, Job.id == JobSummary.job_id)
            .join(Deck, Deck.id == Job.deck_id)
            .join(Owner, Owner.id == Job.owner_id)
            .where(*found, *here)
            .order_by(JobSummary.changed_at.desc(), JobSummary.job_id.desc())
            .limit(max(1, min(limit, 500)))
            .offset(max(0, offset))
        )
        shown = tuple(
            JobRow(
                number=row.number,
                deck=row.description,
                owner=row.name or ("the shop's own" if row.is_shop else ""),
                complaint=row.complaint,
                place=cast(Any, row.place),
                stage=cast(Any, row.stage),
                stage_title=TITLES[row.stage],
                next_words=row.next_words,
                waiting_for=row.waiting_for,
                arrived_at=row.arrived_at,
                changed_at=row.changed_at,
            )
            for row in rows
        )
    every = {key: counts.get(key, 0) for key in PLACES}
    return JobsPage(shown, sum(every.values()) if place == ALL else every[place], every)
