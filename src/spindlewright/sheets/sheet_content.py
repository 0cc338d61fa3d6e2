"""What stands on a service sheet: plain words and figures as printed, nothing to be worked out any more.

A part that is empty leaves its section out. The points a report should have follow ISO/IEC 17025:2017 clause 7.8.2
(from memory, not confirmed by look-up); this is no claim of accreditation, and the sheet says so.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Labelled:
    """One fact with its label, like ``Serial`` and ``LR-3``."""

    label: str
    words: str


@dataclass(frozen=True, slots=True)
class Told:
    """Something found, done or left: the thing itself, and what belongs to it (cause, parts, reason)."""

    words: str
    more: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A value as printed: ``value`` with ``under`` or ``over`` for a bound, ``spread`` its 95 % half-width, both
    without their unit; ``verdict`` in words, empty without a limit. All empty: not read."""

    value: str = ""
    spread: str = ""
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One quantity before and after. ``limit`` is in the row's unit, ``limit_mark`` the letter of its source."""

    title: str
    unit: str
    before: Figure
    after: Figure
    limit: str = ""
    limit_mark: str = ""
    outcome: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadingGroup:
    """The rows under one heading."""

    heading: str
    rows: tuple[ReadingRow, ...]


@dataclass(frozen=True, slots=True)
class HandRow:
    """One quantity read by hand, with its uncertainty and unit, at each stage; ``instrument`` with which."""

    title: str
    instrument: str
    before: str
    set_up: str
    after: str
    outcome: str


@dataclass(frozen=True, slots=True)
class Source:
    """Where a limit or a method comes from, under the letter or number that its rows carry."""

    mark: str
    words: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """One chart as drawn for a stage (``stage`` empty: for both); ``svg`` is left as it is."""

    stage: str
    sentence: str
    svg: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ChartPart:
    """A chart under its title, or two side by side: before and after."""

    title: str
    drawings: tuple[Drawing, ...]


@dataclass(frozen=True, slots=True)
class FunctionRow:
    """One function, before and after, in words."""

    words: str
    before: str
    after: str
    note: str


@dataclass(frozen=True, slots=True)
class TakenRecording:
    """One recording: at which stage, its name, and how it was made, in words."""

    stage: str
    file_name: str
    words: str


@dataclass(frozen=True, slots=True)
class HowRead:
    """How some quantities were read; ``source_marks`` are the numbers of its sources."""

    quantities: str
    method: str
    source_marks: str


@dataclass(frozen=True, slots=True)
class SheetContent:
    """The whole sheet. ``issued`` is the day of handover, empty while the job is open (the sheet then says so)."""

    job_number: str
    shop_name: str
    shop_address: str
    deck_title: str
    owner: str
    issued: str
    dates: tuple[Labelled, ...]
    deck: tuple[Labelled, ...]
    arrival: tuple[Labelled, ...]
    summary: tuple[str, ...]
    tally: tuple[Labelled, ...]
    found: tuple[Told, ...]
    done: tuple[Told, ...]
    go_ahead: str
    readings: tuple[ReadingGroup, ...]
    no_recordings: tuple[str, ...]
    only_before: bool
    by_hand: tuple[HandRow, ...]
    limits: tuple[Source, ...]
    decision_rule: str
    charts: tuple[ChartPart, ...]
    functions: tuple[FunctionRow, ...]
    trials: tuple[Labelled, ...]
    listening: tuple[Labelled, ...]
    not_compared: tuple[Told, ...]
    recordings: tuple[TakenRecording, ...]
    methods: tuple[HowRead, ...]
    method_sources: tuple[Source, ...]
    cautions: tuple[str, ...]
    left: tuple[Told, ...]
    handover: tuple[Labelled, ...]
    stands_for_it: str
    statements: tuple[str, ...]
