"""A job as agreed: its owner, its deck, what was said and seen at arrival."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any


@dataclass(frozen=True, slots=True)
class OwnerView:
    """Whose deck it is. ``is_shop``: the shop itself."""

    id: int
    name: str
    contact: str
    is_shop: bool


@dataclass(frozen=True, slots=True)
class DeckView:
    """One deck. ``description`` is its plate as typed; ``abilities`` what can be turned on it (``speed_trim``,
    ``azimuth``, ``height``, ``anti_skate``); ``dimensions`` numbers by name with the unit in the name."""

    id: int
    description: str
    serial: str
    drive: str
    motor: str
    arm: str
    automatic: bool
    speeds_rpm: tuple[float, ...]
    plate_voltage_v: float | None
    plate_frequency_hz: float | None
    abilities: Mapping[str, str] = field(default_factory=dict)
    dimensions: Mapping[str, Any] = field(default_factory=dict)
    version: int = 1


@dataclass(frozen=True, slots=True)
class JobView:
    """One visit of one deck. ``version`` goes back with a change, so that two people do not overwrite each other."""

    id: int
    number: str
    arrived_at: datetime
    complaint: str
    condition: str
    brought_with: str
    missing: str
    look_over_fee: Decimal | None
    stop_sum: Decimal | None
    currency: str
    shop_headshell: str
    """The shop's own headshell used for the recordings, named; empty: the deck's own."""
    waiting_for: str
    handed_over_at: datetime | None
    version: int
