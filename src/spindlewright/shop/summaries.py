"""Finding a job, and keeping its line in the jobs list true after each change."""

from __future__ import annotations

from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from spindlewright.shop import accepted
from spindlewright.shop.errors import NotFound, NotOpenYet
from spindlewright.shop.facts import Facts, facts_of
from spindlewright.shop.stages import standing
from spindlewright.shop.store import Shop
from spindlewright.shop.tables.base import Table
from spindlewright.shop.tables.jobs import Job, JobSummary
from spindlewright.shop.tables.work import Handover

LONGEST_NUMBER = 40
LARGEST_ID = 2**31 - 1


def find_job(session: Session, number: str) -> Job:
    """The job with this number. NotFound when there is none."""
    asked = accepted.without_controls(number).strip()
    job = session.scalar(select(Job).where(Job.number == asked))
    if job is None:
        shown = asked if len(asked) <= LONGEST_NUMBER else f"{asked[:LONGEST_NUMBER]}…"
        raise NotFound(f"There is no job {shown!r}. Look for it in the jobs list.")
    return job


Row = TypeVar("Row", bound=Table)


def find_row(session: Session, table: type[Row], row_id: int, what: str) -> Row:
    """The row with this id. NotFound, naming it ``what``, when there is none (or no row can have such an id)."""
    row = session.get(table, row_id) if 0 < row_id <= LARGEST_ID else None
    if row is None:
        raise NotFound(f"There is no {what} {row_id}. Look for it on its job card.")
    return row


def open_job(session: Session, number: str) -> Job:
    """The job with this number, when it may still be changed. NotOpenYet when the deck was handed over."""
    job = find_job(session, number)
    last = session.scalar(select(Handover).where(Handover.job_id == job.id).order_by(Handover.id.desc()).limit(1))
    if last is not None and last.kind == "handed_over":
        raise NotOpenYet(
            f"Job {job.number} was handed over on {last.at.date().isoformat()}. Open it again before changing it."
        )
    return job


def summarise(shop: Shop, session: Session, job: Job) -> Facts:
    """Write the job's line in the jobs list anew; part of the caller's change."""
    session.flush()
    facts = facts_of(session, job)
    now = standing(facts)
    row = session.get(JobSummary, job.id) or JobSummary(job_id=job.id)
    row.place, row.stage = now.place, now.next_step.stage
    row.next_words, row.waiting_for = now.next_step.words, now.waiting_for
    row.search_text = search_text(facts)
    row.changed_at = shop.now()
    session.add(row)
    session.flush()
    return facts


def search_text(facts: Facts) -> str:
    """Everything by which a job may be looked for, in small letters."""
    job, deck, owner = facts.job, facts.deck, facts.owner
    parts = (job.number, deck.description, deck.serial, owner.name, owner.contact, job.complaint)
    return "\n".join(part for part in parts if part).casefold()
