"""Where a job stands: its stages, the one next step, the gates and the go-ahead."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Literal

Stage = Literal["arrival", "before", "go_ahead", "work", "set_up", "after", "handover"]
STAGES: tuple[tuple[Stage, str], ...] = (
    ("arrival", "Arrival"),
    ("before", "Before"),
    ("go_ahead", "Go-ahead"),
    ("work", "Work"),
    ("set_up", "Set-up"),
    ("after", "After"),
    ("handover", "Handover"),
)
TITLES: dict[str, str] = dict(STAGES)

StageMark = Literal["done", "now", "open", "closed"]
GateKey = Literal["plug_in", "run", "play"]
GateMark = Literal["open", "closed", "not answered yet"]


@dataclass(frozen=True, slots=True)
class StageState:
    """One stage. ``state`` closed: it may not be worked on yet, ``why`` says what opens it. Exactly one is now."""

    key: Stage
    title: str
    state: StageMark
    summary: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class NextStep:
    """The one thing to do next. ``anchor`` names the place on the page (without #), like ``arrival-gates``."""

    stage: Stage
    words: str
    anchor: str


@dataclass(frozen=True, slots=True)
class QuestionState:
    """One question of a gate, its last answer (None: not answered yet); ``closes``: this answer closes the gate."""

    key: str
    words: str
    answers: tuple[str, ...]
    answer: str | None
    note: str
    answered_at: datetime | None
    closes: bool
    why: str
    """Why this answer closes the gate or shortens the take, else empty."""
    step: str
    """Key by which the table of cautions knows this question."""


@dataclass(frozen=True, slots=True)
class GateState:
    """One gate. ``closes`` are the readings that stay closed while it is not open, in words; ``closes_keys`` the same
    as keys (``recordings``, ``functions``, quantities of hand readings …)."""

    key: GateKey
    title: str
    state: GateMark
    why: str
    """Why it is closed, or which question is still to be answered; empty when open."""
    opens_with: str
    """What opens it again; empty when open."""
    closes: tuple[str, ...]
    closes_keys: tuple[str, ...]
    questions: tuple[QuestionState, ...]
    cold_short: bool = False
    """Turned by hand dry or rough: one take of at most 60 s, without warming up."""


@dataclass(frozen=True, slots=True)
class GoAheadView:
    """The owner's answer; ``kind`` owner_yes, owner_no or own_deck."""

    kind: Literal["owner_yes", "owner_no", "own_deck"]
    who: str
    how: str
    at: datetime
    sum: Decimal | None
    currency: str
    note: str
    words: str
    """The whole of it in one sentence."""
