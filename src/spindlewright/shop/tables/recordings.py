"""Recordings as they came, and what was measured from them; measurements, readings, findings are only ever added."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, deferred, mapped_column, relationship

from spindlewright.shop.tables.base import AddedOnly, JsonValue, Table


class Capture(Table):
    """One recording of one stage of one job; its bytes lie in the file store under ``sha256``."""

    __tablename__ = "capture"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"))
    stage: Mapped[str]
    file_name: Mapped[str]
    sha256: Mapped[str] = mapped_column(index=True)
    size_bytes: Mapped[int]
    options: Mapped[dict[str, Any]] = mapped_column(JsonValue)
    cold_short: Mapped[bool] = mapped_column(default=False)
    state: Mapped[str] = mapped_column(index=True)
    problem: Mapped[str] = mapped_column(default="")
    attempts: Mapped[int] = mapped_column(default=0)
    claimed_by: Mapped[str] = mapped_column(default="")
    claimed_until: Mapped[datetime | None]
    received_at: Mapped[datetime]
    __table_args__ = (Index(None, "job_id", "stage"),)


class NoRecording(AddedOnly, Table):
    """Why a stage has no recording; an empty reason takes it back. The last row of a stage counts."""

    __tablename__ = "no_recording"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"), index=True)
    stage: Mapped[str]
    reason: Mapped[str]
    at: Mapped[datetime]


class Measurement(AddedOnly, Table):
    """One measuring of one recording: the whole object of the reading contract, its curves beside it."""

    __tablename__ = "measurement"
    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[int] = mapped_column(ForeignKey("capture.id"), index=True)
    engine_version: Mapped[str]
    made_at: Mapped[datetime]
    json_object: Mapped[dict[str, Any]] = mapped_column(JsonValue)
    curves: Mapped[dict[str, Any] | None] = deferred(mapped_column(JsonValue))
    capture: Mapped[Capture] = relationship()


class ReadingRow(AddedOnly, Table):
    """One reading, from a recording or by hand: the object of the reading contract, its main fields beside it."""

    __tablename__ = "reading"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"))
    stage: Mapped[str]
    measurement_id: Mapped[int | None] = mapped_column(ForeignKey("measurement.id"), index=True)
    quantity: Mapped[str]
    channel: Mapped[str | None]
    value: Mapped[float]
    unit: Mapped[str]
    uncertainty: Mapped[float]
    method: Mapped[str]
    method_version: Mapped[int]
    engine_version: Mapped[str]
    verdict: Mapped[str | None]
    taken_at: Mapped[datetime]
    json_object: Mapped[dict[str, Any]] = mapped_column(JsonValue)
    __table_args__ = (Index(None, "job_id", "stage"),)


class ReadingWithdrawn(AddedOnly, Table):
    """A hand reading that was a slip: it stays, and counts no more, with the reason."""

    __tablename__ = "reading_withdrawn"
    reading_id: Mapped[int] = mapped_column(ForeignKey("reading.id"), primary_key=True, autoincrement=False)
    reason: Mapped[str]
    at: Mapped[datetime]


class FindingRow(AddedOnly, Table):
    """Something noticed without a number."""

    __tablename__ = "finding"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"))
    stage: Mapped[str]
    measurement_id: Mapped[int] = mapped_column(ForeignKey("measurement.id"), index=True)
    code: Mapped[str]
    message: Mapped[str]
    band: Mapped[int | None]
    evidence: Mapped[dict[str, Any]] = mapped_column(JsonValue)
    __table_args__ = (Index(None, "job_id", "stage"),)
