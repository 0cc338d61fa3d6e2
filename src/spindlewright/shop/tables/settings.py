"""The shop's own settings, and the folder that is being watched."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from spindlewright.shop.tables.base import JsonValue, Table


class Setting(Table):
    """One setting by key (see ``shop/settings.py``)."""

    __tablename__ = "setting"
    key: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[Any] = mapped_column(JsonValue)


class WatchedFolderRow(Table):
    """The folder joined to a job and stage by one bench; ``known`` are the files that lay there when it was joined."""

    __tablename__ = "watched_folder"
    bench: Mapped[str] = mapped_column(primary_key=True)
    folder: Mapped[str]
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id"))
    stage: Mapped[str]
    options: Mapped[dict[str, Any]] = mapped_column(JsonValue)
    known: Mapped[dict[str, Any]] = mapped_column(JsonValue)
    joined_at: Mapped[datetime]
