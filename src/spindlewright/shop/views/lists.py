"""The jobs list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from spindlewright.shop.views.stages import Stage

Place = Literal["on the bench", "waiting", "ready", "handed over"]


@dataclass(frozen=True, slots=True)
class JobRow:
    """One line of the list."""

    number: str
    deck: str
    owner: str
    complaint: str
    place: Place
    stage: Stage
    stage_title: str
    next_words: str
    waiting_for: str
    arrived_at: datetime
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class JobsPage:
    """Some jobs, newest change first; ``total`` is how many match, ``counts`` how many there are in each place."""

    rows: tuple[JobRow, ...]
    total: int
    counts: Mapping[str, int]

    @property
    def more(self) -> int:
        """How many match that are not shown."""
        return self.total - len(self.rows)
