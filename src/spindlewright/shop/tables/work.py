"""What was done and looked at: tasks, functions, soak runs, listening, photos, what was left, and the handing over."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from spindlewright.shop.tables.base import AddedOnly, Table


class TaskDone(Table):
    """One piece of work; ``done_at`` is empty while it is only planned."""

    __tablename__ = "task_done"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    stage: Mapped[str]
    words: Mapped[str]
    template: Mapped[str] = mapped_column(default="")
    parts: Mapped[str] = mapped_column(default="")
    result: Mapped[str] = mapped_column(default="")
    planned_at: Mapped[datetime]
    done_at: Mapped[datetime | None]


class FunctionCheck(AddedOnly, Table):
    """One function of the deck tried once; the last row of a stage and function counts."""

    __tablename__ = "function_check"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    stage: Mapped[str]
    function: Mapped[str]
    answer: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    checked_at: Mapped[datetime]


class ListeningTick(AddedOnly, Table):
    """One thing listened to; the last row of an item counts."""

    __tablename__ = "listening_tick"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    item: Mapped[str]
    answer: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    ticked_at: Mapped[datetime]


class SoakRun(AddedOnly, Table):
    """The deck left running: how long, and what was noticed."""

    __tablename__ = "soak_run"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    length_min: Mapped[float]
    result: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    ended_at: Mapped[datetime]


class Photo(AddedOnly, Table):
    """One photo of one stage; its bytes lie in the file store under ``sha256``."""

    __tablename__ = "photo"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    stage: Mapped[str]
    file_name: Mapped[str]
    sha256: Mapped[str]
    size_bytes: Mapped[int]
    media_type: Mapped[str]
    words: Mapped[str] = mapped_column(default="")
    received_at: Mapped[datetime]


class LeftUndone(Table):
    """Something not done, and why; it stands on the sheet. ``taken_back_at`` is set when it was done after all."""

    __tablename__ = "left_undone"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    what: Mapped[str]
    why: Mapped[str]
    at: Mapped[datetime]
    taken_back_at: Mapped[datetime | None]


class Handover(AddedOnly, Table):
    """The deck given back (``kind`` handed_over), or the job opened again (reopened). The last row counts."""

    __tablename__ = "handover"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    kind: Mapped[str]
    to_whom: Mapped[str] = mapped_column(default="")
    stands_for_it: Mapped[str] = mapped_column(default="")
    price: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(default="")
    note: Mapped[str] = mapped_column(default="")
    at: Mapped[datetime]
