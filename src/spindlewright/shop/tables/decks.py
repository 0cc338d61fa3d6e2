"""Owners and decks."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from spindlewright.shop.tables.base import JsonValue, Table


class Owner(Table):
    """Whose deck it is; ``is_shop`` marks the shop itself."""

    __tablename__ = "owner"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(default="")
    contact: Mapped[str] = mapped_column(default="")
    is_shop: Mapped[bool] = mapped_column(default=False)
    added_at: Mapped[datetime]


class Deck(Table):
    """One physical object. ``abilities`` and ``dimensions`` are plain mappings (see ``views/job.py``)."""

    __tablename__ = "deck"
    id: Mapped[int] = mapped_column(primary_key=True)
    description: Mapped[str]
    serial: Mapped[str] = mapped_column(default="")
    drive: Mapped[str] = mapped_column(default="unknown")
    motor: Mapped[str] = mapped_column(default="unknown")
    arm: Mapped[str] = mapped_column(default="unknown")
    automatic: Mapped[bool] = mapped_column(default=False)
    speeds_rpm: Mapped[list[float]] = mapped_column(JsonValue)
    plate_voltage_v: Mapped[float | None]
    plate_frequency_hz: Mapped[float | None]
    abilities: Mapped[dict[str, str]] = mapped_column(JsonValue)
    dimensions: Mapped[dict[str, Any]] = mapped_column(JsonValue)
    added_at: Mapped[datetime]
    version: Mapped[int] = mapped_column()
    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - the library's way
