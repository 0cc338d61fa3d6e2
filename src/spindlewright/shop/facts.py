"""Everything small that is known of one job, read in one go: what stages, next step and job card are made of."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from spindlewright.shop import as_views
from spindlewright.shop.function_list import LISTENING, functions_for
from spindlewright.shop.gate_rules import Answer, gate_states
from spindlewright.shop.tables.jobs import GateAnswer, GoAhead, Job, Waiting
from spindlewright.shop.tables.recordings import Capture, NoRecording, ReadingRow, ReadingWithdrawn
from spindlewright.shop.tables.work import (
    FunctionCheck,
    Handover,
    LeftUndone,
    ListeningTick,
    Photo,
    SoakRun,
    TaskDone,
)
from spindlewright.shop.views.job import DeckView, JobView, OwnerView
from spindlewright.shop.views.recordings import CaptureView, NoRecordingView
from spindlewright.shop.views.stages import GateState, GoAheadView
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
class Facts:
    """One job without its measurements. ``hand_quantities`` are (stage, quantity) of hand readings that count."""

    job: JobView
    owner: OwnerView
    deck: DeckView
    gates: tuple[GateState, ...]
    go_ahead: GoAheadView | None
    captures: tuple[CaptureView, ...]
    no_recordings: tuple[NoRecordingView, ...]
    hand_quantities: frozenset[tuple[str, str]]
    tasks: tuple[TaskView, ...]
    functions: tuple[FunctionView, ...]
    soak_runs: tuple[SoakView, ...]
    listening: tuple[ListeningView, ...]
    left_undone: tuple[LeftUndoneView, ...]
    photos: tuple[PhotoView, ...]
    handover: HandoverView | None

    def captures_of(self, stage: str) -> tuple[CaptureView, ...]:
        """The recordings of one stage."""
        return tuple(capture for capture in self.captures if capture.stage == stage)

    def no_recording_of(self, stage: str) -> NoRecordingView | None:
        """Why one stage has no recording, None when nothing was said."""
        return next((view for view in self.no_recordings if view.stage == stage), None)


def facts_of(session: Session, job: Job) -> Facts:
    """Read the facts of ``job``."""

    def rows(table: Any) -> list[Any]:
        return list(session.scalars(select(table).where(table.job_id == job.id).order_by(table.id)))

    handovers = rows(Handover)
    handover = handovers[-1] if handovers and handovers[-1].kind == "handed_over" else None
    waits = rows(Waiting)
    go_aheads = rows(GoAhead)
    return Facts(
        job=as_views.job_view(job, waits[-1].waiting_for if waits else "", handover and handover.at),
        owner=as_views.owner_view(job.owner),
        deck=as_views.deck_view(job.deck),
        gates=gates_in(session, job),
        go_ahead=as_views.go_ahead_view(go_aheads[-1]) if go_aheads else None,
        captures=tuple(as_views.capture_view(row, job.number) for row in rows(Capture)),
        no_recordings=_no_recordings(rows(NoRecording)),
        hand_quantities=_hand_quantities(session, job.id),
        tasks=tuple(as_views.task_view(row) for row in rows(TaskDone)),
        functions=_functions(rows(FunctionCheck), tuple(job.deck.speeds_rpm)),
        soak_runs=tuple(as_views.soak_view(row) for row in rows(SoakRun)),
        listening=_listening(rows(ListeningTick)),
        left_undone=tuple(as_views.left_undone_view(row) for row in rows(LeftUndone) if row.taken_back_at is None),
        photos=tuple(as_views.photo_view(row) for row in rows(Photo)),
        handover=as_views.handover_view(handover) if handover else None,
    )


def gates_in(session: Session, job: Job) -> tuple[GateState, ...]:
    """The gates of ``job`` as its last answers leave them."""
    rows = session.scalars(select(GateAnswer).where(GateAnswer.job_id == job.id).order_by(GateAnswer.id))
    answers = {(row.gate, row.question): Answer(row.answer, row.note, row.answered_at) for row in rows}
    return gate_states(answers, job.shop_headshell)


def _no_recordings(rows: Iterable[NoRecording]) -> tuple[NoRecordingView, ...]:
    last = {row.stage: row for row in rows}
    return tuple(as_views.no_recording_view(row) for row in last.values() if row.reason)


def _hand_quantities(session: Session, job_id: int) -> frozenset[tuple[str, str]]:
    found = session.execute(
        select(ReadingRow.stage, ReadingRow.quantity)
        .where(ReadingRow.job_id == job_id, ReadingRow.measurement_id.is_(None))
        .where(ReadingRow.id.not_in(select(ReadingWithdrawn.reading_id)))
    )
    return frozenset((stage, quantity) for stage, quantity in found)


def _functions(rows: Iterable[FunctionCheck], speeds_rpm: tuple[float, ...]) -> tuple[FunctionView, ...]:
    last = {(row.stage, row.function): row for row in rows}
    views = []
    for key, words in functions_for(speeds_rpm):
        before, after = last.get(("before", key)), last.get(("after", key))
        views.append(
            FunctionView(
                key,
                words,
                before and before.answer,  # type: ignore[arg-type]
                after and after.answer,  # type: ignore[arg-type]
                before.note if before else "",
                after.note if after else "",
            )
        )
    return tuple(views)


def _listening(rows: Iterable[ListeningTick]) -> tuple[ListeningView, ...]:
    last = {row.item: row for row in rows}
    return tuple(
        ListeningView(key, words, last[key].answer, last[key].note)  # type: ignore[arg-type]
        if key in last
        else ListeningView(key, words, None)
        for key, words in LISTENING
    )
