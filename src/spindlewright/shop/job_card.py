"""The job card: everything that is known of one job, in one go."""

from __future__ import annotations

from typing import Any, cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from spindlewright.readings.from_object import finding_from_object, reading_from_object
from spindlewright.setup.next_moves.move import Move
from spindlewright.shop.advice import advise
from spindlewright.shop.as_views import capture_view
from spindlewright.shop.facts import facts_of
from spindlewright.shop.recordings import measurements_of
from spindlewright.shop.repeats_asked import repeats_asked
from spindlewright.shop.settings import settings_in
from spindlewright.shop.stages import standing
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_job
from spindlewright.shop.tables.recordings import Capture, FindingRow, Measurement, ReadingRow, ReadingWithdrawn
from spindlewright.shop.views.card import JobCard
from spindlewright.shop.views.recordings import CaptureView, FindingView, ReadingView
from spindlewright.shop.views.stages import NextStep


def job_card(shop: Shop, number: str, *, curves: bool = False) -> JobCard:
    """The job card of one job; with ``curves`` the newest measurement objects carry theirs (for charts)."""
    with shop.reading() as session:
        job = find_job(session, number)
        facts = facts_of(session, job)
        captures = _captures(session, job.id, number, curves)
        readings = _readings(session, job.id, captures)
        findings = _findings(session, job.id, captures)
        mains_hz = settings_in(session).mains_frequency_hz
    now = standing(facts)
    advice = advise(facts.deck, mains_hz, captures, readings, findings)
    step = _with_first_move(now.next_step, advice.moves.get("before", ()))
    return JobCard(
        job=facts.job,
        owner=facts.owner,
        deck=facts.deck,
        stages=now.stages,
        next_step=step,
        gates=facts.gates,
        go_ahead=facts.go_ahead,
        captures=captures,
        no_recordings=facts.no_recordings,
        readings=readings,
        findings=findings,
        repeats_asked=repeats_asked(facts.captures_of("before"), facts.captures_of("after")),
        tasks=facts.tasks,
        functions=facts.functions,
        soak_runs=facts.soak_runs,
        listening=facts.listening,
        left_undone=facts.left_undone,
        photos=facts.photos,
        handover=facts.handover,
        comparisons=advice.comparisons,
        not_compared=advice.not_compared,
        moves=advice.moves,
        headlines=advice.headlines,
        remarks=advice.remarks,
    )


def _with_first_move(step: NextStep, moves: tuple[Move, ...]) -> NextStep:
    """At the beginning of Work the next step is the first next move of Before, when there is one."""
    first = next((move for move in moves if move.kind in ("adjust", "suspect")), None)
    if step.anchor != "work-tasks" or first is None:
        return step
    return NextStep(step.stage, f"{first.sentence} Tick it as a task when it is done.", step.anchor)


def _captures(session: Session, job_id: int, number: str, curves: bool) -> tuple[CaptureView, ...]:
    rows = list(session.scalars(select(Capture).where(Capture.job_id == job_id).order_by(Capture.id)))
    measurings = measurements_of(session, [row.id for row in rows], curves)
    return tuple(capture_view(row, number, measurings[row.id]) for row in rows)


def _readings(session: Session, job_id: int, captures: tuple[CaptureView, ...]) -> tuple[ReadingView, ...]:
    newest = {view.measurement.id: view.id for view in captures if view.measurement}
    withdrawn = {
        row.reading_id: row.reason
        for row in session.scalars(
            select(ReadingWithdrawn)
            .join(ReadingRow, ReadingRow.id == ReadingWithdrawn.reading_id)
            .where(ReadingRow.job_id == job_id)
        )
    }
    rows = session.scalars(
        select(ReadingRow)
        .where(ReadingRow.job_id == job_id)
        .where(ReadingRow.measurement_id.is_(None) | ReadingRow.measurement_id.in_(newest))
        .order_by(ReadingRow.id)
    )
    return tuple(
        ReadingView(
            id=row.id,
            stage=cast(Any, row.stage),
            capture_id=None if row.measurement_id is None else newest[row.measurement_id],
            reading=reading_from_object(row.json_object),
            engine_version=row.engine_version,
            taken_at=row.taken_at,
            json_object=row.json_object,
            withdrawn=withdrawn.get(row.id, ""),
        )
        for row in rows
    )


def _findings(session: Session, job_id: int, captures: tuple[CaptureView, ...]) -> tuple[FindingView, ...]:
    newest = {view.measurement.id: view.id for view in captures if view.measurement}
    rows = session.scalars(
        select(FindingRow)
        .where(FindingRow.job_id == job_id, FindingRow.measurement_id.in_(newest))
        .order_by(FindingRow.id)
    )
    return tuple(
        FindingView(
            row.id,
            cast(Any, row.stage),
            newest[row.measurement_id],
            finding_from_object(
                {"code": row.code, "message": row.message, "evidence": row.evidence, "band": row.band}
            ),
        )
        for row in rows
    )


def readings_ever(shop: Shop, capture_id: int) -> tuple[ReadingView, ...]:
    """Every reading ever taken from one recording, of every measuring, oldest first."""
    with shop.reading() as session:
        rows = session.scalars(
            select(ReadingRow)
            .join(Measurement, Measurement.id == ReadingRow.measurement_id)
            .where(Measurement.capture_id == capture_id)
            .order_by(ReadingRow.id)
        )
        return tuple(
            ReadingView(
                row.id,
                cast(Any, row.stage),
                capture_id,
                reading_from_object(row.json_object),
                row.engine_version,
                row.taken_at,
                row.json_object,
            )
            for row in rows
        )
