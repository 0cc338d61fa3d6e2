"""The jobs list: what is on the bench, waiting, ready; searched by words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from spindlewright.shop import accepted
from spindlewright.shop.store import Shop
from spindlewright.shop.tables.decks import Deck, Owner
from spindlewright.shop.tables.jobs import Job, JobSummary
from spindlewright.shop.views.lists import JobRow, JobsPage
from spindlewright.shop.views.stages import TITLES

PLACES = ("on the bench", "waiting", "ready", "handed over")
ALL = "all"
MOST_ROWS, LARGEST_OFFSET = 500, 10**7
NEWEST = (JobSummary.changed_at.desc(), JobSummary.job_id.desc())


def jobs(shop: Shop, words: str = "", place: str = ALL, limit: int = 50, offset: int = 0) -> JobsPage:
    """Jobs that have every one of ``words`` in number, deck, serial, owner or complaint (capitals do not matter),
    in one place or all, the newest change first. Only the first 8 words and 400 signs are looked for."""
    accepted.choice("place", place, (*PLACES, ALL))
    limit, offset = max(1, min(limit, MOST_ROWS)), max(0, min(offset, LARGEST_OFFSET))
    asked = accepted.search_words(words)
    with shop.reading() as session:
        found = _by_words(session, asked, place) if asked else _newest(session, place, limit, offset)
        ids = found.ids[offset : offset + limit] if asked else found.ids
        rows = _rows(session, ids)
    every = {key: found.counts.get(key, 0) for key in PLACES}
    return JobsPage(rows, sum(every.values()) if place == ALL else every[place], every)


@dataclass(frozen=True, slots=True)
class _Found:
    """Job ids in the order of the list, and how many there are in each place."""

    ids: list[int]
    counts: Mapping[str, int]


def _newest(session: Session, place: str, limit: int, offset: int) -> _Found:
    """One page of all jobs, by the index."""
    counts = session.execute(select(JobSummary.place, func.count()).group_by(JobSummary.place))
    here = [JobSummary.place == place] if place != ALL else []
    ids = session.scalars(select(JobSummary.job_id).where(*here).order_by(*NEWEST).limit(limit).offset(offset))
    return _Found(list(ids), {key: int(count) for key, count in counts})


def _by_words(session: Session, words: Sequence[str], place: str) -> _Found:
    """Every job that has the words: one look at each."""
    has = [JobSummary.search_text.contains(word, autoescape=True) for word in words]
    found = session.execute(select(JobSummary.job_id, JobSummary.place).where(*has).order_by(*NEWEST)).all()
    return _Found([row.job_id for row in found if place in (ALL, row.place)], Counter(row.place for row in found))


def _rows(session: Session, ids: Sequence[int]) -> tuple[JobRow, ...]:
    """The lines of these jobs, in this order."""
    found = session.execute(
        select(
            *(Job.id, Job.number, Job.complaint, Job.arrived_at),
            *(Deck.description, Owner.name, Owner.is_shop),
            *(JobSummary.place, JobSummary.stage, JobSummary.next_words, JobSummary.waiting_for),
            JobSummary.changed_at,
        )
        .select_from(JobSummary)
        .join(Job, Job.id == JobSummary.job_id)
        .join(Deck, Deck.id == Job.deck_id)
        .join(Owner, Owner.id == Job.owner_id)
        .where(JobSummary.job_id.in_(ids))
    )
    rows = {
        row.id: JobRow(
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
        for row in found
    }
    return tuple(rows[job_id] for job_id in ids)
