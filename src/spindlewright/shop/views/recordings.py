"""Recordings, their measurements, and readings, as kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

from spindlewright.readings.reading import Finding, Reading
from spindlewright.shop.views.stages import Stage

CaptureState = Literal["stored", "measuring", "measured", "failed"]


@dataclass(frozen=True, slots=True)
class CaptureOptions:
    """How a recording was made and is to be measured; all optional.

    ``disc`` is the name of a known disc (``shop/discs.py``), ``rpm`` the speed the disc was cut for, ``chain`` what
    stood between cartridge and recorder, ``arm_lifted`` that it is of the lifted arm alone (no disc is played).
    ``headshell`` names the shop's own when that was used, ``recorder`` the recorder (default: as in the settings).
    """

    disc: str = ""
    rpm: float | None = None
    chain: Literal["riaa", "flat", "unknown"] = "riaa"
    mains_hz: float | None = None
    limits: str = ""
    arm_lifted: bool = False
    headshell: str = ""
    recorder: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class MeasurementView:
    """One measuring: the object of the reading contract (``curves`` is None unless they were asked for)."""

    id: int
    engine_version: str
    made_at: datetime
    json_object: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class CaptureView:
    """One recording. ``measurement`` is the newest measuring, ``earlier`` the ones before it, oldest first."""

    id: int
    job_number: str
    stage: Stage
    file_name: str
    sha256: str
    size_bytes: int
    options: CaptureOptions
    cold_short: bool
    state: CaptureState
    problem: str
    received_at: datetime
    measurement: MeasurementView | None = None
    earlier: tuple[MeasurementView, ...] = ()

    @property
    def fitness(self) -> tuple[Mapping[str, Any], ...]:
        """The fitness items of the newest measuring."""
        return tuple(self.measurement.json_object["fitness"]) if self.measurement else ()


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the measuring of a recording is; ``share`` from 0 to 1."""

    capture_id: int
    state: CaptureState
    share: float
    words: str


@dataclass(frozen=True, slots=True)
class ReadingView:
    """One reading as kept. ``capture_id`` is None for a reading by hand."""

    id: int
    stage: Stage
    capture_id: int | None
    reading: Reading
    engine_version: str
    taken_at: datetime
    json_object: Mapping[str, Any] = field(default_factory=dict)
    withdrawn: str = ""
    """Why it counts no more (a slip); empty: it counts."""


@dataclass(frozen=True, slots=True)
class FindingView:
    """One finding as kept."""

    id: int
    stage: Stage
    capture_id: int
    finding: Finding


@dataclass(frozen=True, slots=True)
class NoRecordingView:
    """Why a stage has no recording, like "could not be read on arrival: no cartridge"."""

    stage: Stage
    reason: str
    words: str
    at: datetime


@dataclass(frozen=True, slots=True)
class RepeatAsked:
    """A recording that After asks for, because Before has it. ``done`` when it is there."""

    capture_id: int
    file_name: str
    options: CaptureOptions
    words: str
    done: bool


@dataclass(frozen=True, slots=True)
class WatchView:
    """The folder being watched, joined to a job and stage; ``remarks`` are the newest messages, newest first."""

    folder: str
    job_number: str
    stage: Stage
    options: CaptureOptions
    joined_at: datetime
    remarks: tuple[str, ...] = ()
