"""Go-ahead: the owner's yes or no, or "shop's own deck". Work does not open without."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from spindlewright.shop import accepted
from spindlewright.shop.errors import NotAccepted, NotOpenYet
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import open_job, summarise
from spindlewright.shop.tables.jobs import GoAhead as GoAheadRow
from spindlewright.shop.tables.jobs import Job

KINDS = ("owner_yes", "owner_no", "own_deck")


@dataclass(frozen=True, slots=True)
class GoAhead:
    """``who`` said it, ``when`` (None: now), ``how`` (by telephone, at the counter …), up to which ``sum``."""

    kind: str
    who: str = ""
    when: datetime | None = None
    how: str = ""
    sum: Decimal | str | None = None
    note: str = ""


def give_go_ahead(shop: Shop, number: str, answer: GoAhead) -> None:
    """Write down the answer; a later one counts instead of an earlier one, and both are kept."""
    accepted.choice("go-ahead", answer.kind, KINDS)
    with shop.writing() as session:
        job = open_job(session, number)
        if answer.kind == "own_deck" and not job.owner.is_shop:
            raise NotAccepted(
                "go-ahead",
                "shop's own deck, but the deck has another owner",
                "the owner's yes",
                "ask the owner, or change the owner at Arrival",
            )
        whose = answer.kind != "own_deck"
        session.add(
            GoAheadRow(
                job_id=job.id,
                kind=answer.kind,
                who=accepted.line("who", answer.who or (job.owner.name if whose else ""), needed=whose),
                how=accepted.line("how", answer.how, needed=whose),
                at=accepted.moment("when", answer.when, shop.now()),
                sum=accepted.money("sum", answer.sum),
                currency=job.currency,
                note=accepted.text("note", answer.note),
                written_at=shop.now(),
            )
        )
        summarise(shop, session, job)


def need_go_ahead(session: Session, job: Job, what: str) -> None:
    """NotOpenYet unless the owner's last answer was yes (or it is the shop's own deck)."""
    last = session.scalar(
        select(GoAheadRow).where(GoAheadRow.job_id == job.id).order_by(GoAheadRow.id.desc()).limit(1)
    )
    if last is None:
        raise NotOpenYet(
            f"{what} is not open yet: the owner has not said yes. "
            'Write down the go-ahead first (or "shop\'s own deck").'
        )
    if last.kind == "owner_no":
        raise NotOpenYet(
            f"{what} is not open: the owner said no on {last.at.date().isoformat()}. A later yes opens it."
        )
