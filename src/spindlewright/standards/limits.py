"""Acceptance limits by name: what a reading is held against, each limit with its source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limit:
    """Acceptance limit of one quantity in its unit; None means no limit on that side."""

    low: float | None
    high: float | None
    source: str
