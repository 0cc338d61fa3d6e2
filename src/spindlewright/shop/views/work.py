"""What was done and looked at, as kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Literal

from spindlewright.shop.views.stages import Stage

FunctionAnswer = Literal["works", "does not", "not there"]
TickAnswer = Literal["good", "not good", "does not apply"]


@dataclass(frozen=True, slots=True)
class TaskView:
    """One piece of work; ``done_at`` None while it is planned. ``step`` is its key in the table of cautions."""

    id: int
    stage: Stage
    words: str
    template: str
    step: str
    parts: str
    result: str
    planned_at: datetime
    done_at: datetime | None


@dataclass(frozen=True, slots=True)
class FunctionView:
    """One function of the deck, before and after (None: not tried)."""

    key: str
    words: str
    before: FunctionAnswer | None
    after: FunctionAnswer | None
    note_before: str = ""
    note_after: str = ""


@dataclass(frozen=True, slots=True)
class ListeningView:
    """One thing to listen to (answer None: not yet)."""

    key: str
    words: str
    answer: TickAnswer | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class SoakView:
    """One soak run; ``length_min`` in minutes."""

    id: int
    length_min: float
    result: Literal["ran through", "stopped", "noticed something"]
    note: str
    ended_at: datetime
    words: str


@dataclass(frozen=True, slots=True)
class PhotoView:
    """One photo; the file is ``shop.files.path_of(sha256)``."""

    id: int
    stage: Stage
    file_name: str
    sha256: str
    size_bytes: int
    media_type: str
    words: str
    received_at: datetime


@dataclass(frozen=True, slots=True)
class LeftUndoneView:
    """Something not done, and why."""

    id: int
    what: str
    why: str
    at: datetime


@dataclass(frozen=True, slots=True)
class HandoverView:
    """The deck given back."""

    to_whom: str
    stands_for_it: str
    price: Decimal | None
    currency: str
    note: str
    at: datetime
