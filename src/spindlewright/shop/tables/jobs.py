"""Jobs, the answers at their gates, the owner's go-ahead, and the line of each job in the jobs list."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from spindlewright.shop.tables.base import AddedOnly, Table
from spindlewright.shop.tables.decks import Deck, Owner


class NumberSeries(Table):
    """The last job number given out in a year."""

    __tablename__ = "number_series"
    year: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    last: Mapped[int]


class Job(Table):
    """One visit of one deck, as agreed at arrival."""

    __tablename__ = "job"
    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(unique=True)
    deck_id: Mapped[int] = mapped_column(ForeignKey("deck.id"), index=True)
    owner_id: Mapped[int] = mapped_column(ForeignKey("owner.id"), index=True)
    arrived_at: Mapped[datetime]
    complaint: Mapped[str] = mapped_column(default="")
    condition: Mapped[str] = mapped_column(default="")
    brought_with: Mapped[str] = mapped_column(default="")
    missing: Mapped[str] = mapped_column(default="")
    look_over_fee: Mapped[Decimal | None]
    stop_sum: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(default="")
    shop_headshell: Mapped[str] = mapped_column(default="")
    version: Mapped[int] = mapped_column()
    deck: Mapped[Deck] = relationship(lazy="joined")
    owner: Mapped[Owner] = relationship(lazy="joined")
    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - the library's way


class JobSummary(Table):
    """What the jobs list shows of a job, worked out again after every change to it."""

    __tablename__ = "job_summary"
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), primary_key=True, autoincrement=False)
    place: Mapped[str]
    stage: Mapped[str]
    next_words: Mapped[str]
    waiting_for: Mapped[str] = mapped_column(default="")
    search_text: Mapped[str]
    changed_at: Mapped[datetime]
    __table_args__ = (Index(None, "place", "changed_at"), Index(None, "changed_at", "job_id"))


class Waiting(AddedOnly, Table):
    """What a job waits for from outside (a part, an answer); an empty text ends the wait. The last row counts."""

    __tablename__ = "waiting"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    waiting_for: Mapped[str]
    since: Mapped[datetime]


class GateAnswer(AddedOnly, Table):
    """One answer to one question of a gate; a later answer to the same question counts instead of it."""

    __tablename__ = "gate_answer"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    gate: Mapped[str]
    question: Mapped[str]
    answer: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    answered_at: Mapped[datetime]


class GoAhead(AddedOnly, Table):
    """The owner's yes or no, or that it is the shop's own deck; the last row counts."""

    __tablename__ = "go_ahead"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    kind: Mapped[str]
    who: Mapped[str] = mapped_column(default="")
    how: Mapped[str] = mapped_column(default="")
    at: Mapped[datetime]
    sum: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(default="")
    note: Mapped[str] = mapped_column(default="")
    written_at: Mapped[datetime]
