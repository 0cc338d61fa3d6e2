"""The job card: everything one page or one sheet needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from spindlewright.readings.comparison import Comparison, NotCompared
from spindlewright.setup.headline import Headline
from spindlewright.setup.next_moves.move import Move
from spindlewright.shop.views.job import DeckView, JobView, OwnerView
from spindlewright.shop.views.recordings import (
    CaptureView,
    FindingView,
    NoRecordingView,
    ReadingView,
    RepeatAsked,
)
from spindlewright.shop.views.stages import GateState, GoAheadView, NextStep, Stage, StageState
from spindlewright.shop.views.work import (
    FunctionView,
    HandoverView,
    LeftUndoneView,
    ListeningView,
    PhotoView,
    SoakView,
    TaskView,
)


@dataclass(frozen=True, slots=True)
class JobCard:
    """One job as it stands. Tuples are in the order in which things were done."""

    job: JobView
    owner: OwnerView
    deck: DeckView
    stages: tuple[StageState, ...]
    next_step: NextStep
    gates: tuple[GateState, ...]
    go_ahead: GoAheadView | None
    captures: tuple[CaptureView, ...]
    no_recordings: tuple[NoRecordingView, ...]
    readings: tuple[ReadingView, ...]
    """Those of the newest measuring of each recording, and those by hand; withdrawn ones marked."""
    findings: tuple[FindingView, ...]
    repeats_asked: tuple[RepeatAsked, ...]
    tasks: tuple[TaskView, ...]
    functions: tuple[FunctionView, ...]
    soak_runs: tuple[SoakView, ...]
    listening: tuple[ListeningView, ...]
    left_undone: tuple[LeftUndoneView, ...]
    photos: tuple[PhotoView, ...]
    handover: HandoverView | None
    comparisons: tuple[Comparison, ...] = ()
    not_compared: tuple[NotCompared, ...] = ()
    moves: Mapping[str, tuple[Move, ...]] = field(default_factory=dict)
    """Next moves by stage (``before``, ``after``)."""
    headlines: Mapping[str, Headline] = field(default_factory=dict)
    """The one sentence by stage (``before``, ``after``)."""
    remarks: tuple[str, ...] = ()
    """What could not be worked out from the readings, and why; empty when all is well."""

    def stage(self, key: Stage) -> StageState:
        """The state of one stage."""
        return next(stage for stage in self.stages if stage.key == key)

    def captures_of(self, stage: Stage) -> tuple[CaptureView, ...]:
        """The recordings of one stage."""
        return tuple(capture for capture in self.captures if capture.stage == stage)

    def readings_of(self, stage: Stage) -> tuple[ReadingView, ...]:
        """The readings of one stage that count."""
        return tuple(view for view in self.readings if view.stage == stage and not view.withdrawn)

    def findings_of(self, stage: Stage) -> tuple[FindingView, ...]:
        """The findings of one stage."""
        return tuple(view for view in self.findings if view.stage == stage)
