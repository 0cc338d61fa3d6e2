"""Recordings taken in, and what was measured from them kept: acknowledged only when bytes and row are on the disk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import PurePath
from typing import Any, BinaryIO

from sqlalchemy import select
from sqlalchemy.orm import Session

from spindlewright.shop import accepted
from spindlewright.shop.as_views import capture_view, measurement_view
from spindlewright.shop.discs import disc_named
from spindlewright.shop.engine_version import engine_version
from spindlewright.shop.errors import NotAccepted, NotOpenYet
from spindlewright.shop.facts import gates_in
from spindlewright.shop.file_store import Stored
from spindlewright.shop.gate_questions import COLD_SHORT, SHORT_TAKE_S
from spindlewright.shop.gate_rules import cold_short, refusal
from spindlewright.shop.go_ahead import need_go_ahead
from spindlewright.shop.settings import settings_of
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_job, find_row, open_job, summarise
from spindlewright.shop.tables.jobs import Job
from spindlewright.shop.tables.recordings import Capture, FindingRow, Measurement, NoRecording, ReadingRow
from spindlewright.shop.views.recordings import CaptureOptions, CaptureView, MeasurementView

RECORDED_STAGES = ("before", "work", "set_up", "after")
LARGEST_RECORDING_BYTES = 8 * 10**9
"""Two hours of two channels at 192 kHz and 24 bit are 8.3 GB; longer recordings are not measured to their end."""


def take_in(
    shop: Shop,
    number: str,
    stage: str,
    file_name: str,
    stream: BinaryIO,
    options: CaptureOptions | None = None,
    limit_bytes: int = LARGEST_RECORDING_BYTES,
) -> CaptureView:
    """Keep one recording; it will be measured by the queue (``shop/measuring.py``).

    When this returns, the bytes and the row are on the disk. The same file sent again for the same stage in the same
    way gives the recording that is there. NotOpenYet when a gate or the go-ahead closes it, NotAccepted for a file or
    option that cannot be taken.
    """
    may_take_in(shop, number, stage, options)
    stored = shop.files.put(stream, limit_bytes)
    name = printable_name(file_name)
    with shop.writing() as session:
        job, made = _allowed(shop, session, number, stage, options)
        if (known := _known(session, job, stage, stored, made)) is not None:
            return _view(session, known, job.number)
        row = Capture(
            job_id=job.id,
            stage=stage,
            file_name=name,
            sha256=stored.sha256,
            size_bytes=stored.size_bytes,
            options=asdict(made),
            cold_short=_one_short_take(session, job, stage),
            state="stored",
            problem="",
            attempts=0,
            claimed_by="",
            claimed_until=None,
            received_at=shop.now(),
        )
        session.add(row)
        summarise(shop, session, job)
        return _view(session, row, job.number)


def may_take_in(shop: Shop, number: str, stage: str, options: CaptureOptions | None = None) -> None:
    """Raise what ``take_in`` would, before any byte is sent."""
    with shop.reading() as session:
        _allowed(shop, session, number, stage, options)


def _allowed(
    shop: Shop, session: Session, number: str, stage: str, options: CaptureOptions | None
) -> tuple[Job, CaptureOptions]:
    accepted.choice("stage", stage, RECORDED_STAGES)
    job = open_job(session, number)
    made = checked_options(shop, options or CaptureOptions(), job)
    if stage != "before":
        need_go_ahead(session, job, "This recording")
    gates = gates_in(session, job)
    what = "Recordings are" if not made.arm_lifted else "Recordings with the arm lifted are"
    if (why := refusal(gates, "recordings_lifted" if made.arm_lifted else "recordings", what)) is not None:
        raise NotOpenYet(why)
    if stage == "before" and (gate := next((gate for gate in gates if gate.state == "not answered yet"), None)):
        raise NotOpenYet(f'Before is not open yet: first answer the gates of Arrival, next is "{gate.title}".')
    return job, made


def _one_short_take(session: Session, job: Job, stage: str) -> bool:
    """Whether only one short take is allowed. NotOpenYet when it has been made already."""
    if not cold_short(gates_in(session, job)):
        return False
    taken = session.scalar(
        select(Capture).where(Capture.job_id == job.id, Capture.stage == stage, Capture.state != "failed").limit(1)
    )
    if taken is not None:
        raise NotOpenYet(
            f"Turned by hand the deck is dry or rough: one take of at most {SHORT_TAKE_S:.0f} s is allowed, and "
            f"{taken.file_name} is it. Clean and oil the bearing, then answer the gate again."
        )
    return True


def _known(session: Session, job: Job, stage: str, stored: Stored, made: CaptureOptions) -> Capture | None:
    """The same recording of this job, when it is there already."""
    same = list(session.scalars(select(Capture).where(Capture.job_id == job.id, Capture.sha256 == stored.sha256)))
    for row in same:
        if row.stage != stage:
            raise NotAccepted(
                "recording",
                f"the same file as {row.file_name}, taken in at {row.stage.replace('_', '-').capitalize()}",
                "a recording of its own for each stage",
                "record again, or choose the other file",
            )
        if row.options == asdict(made):
            return row
    return None


def checked_options(shop: Shop, options: CaptureOptions, job: Job) -> CaptureOptions:
    """The options as they are kept: names checked, the job's shop headshell filled in."""
    from spindlewright.standards.limits import named_limits

    settings = settings_of(shop)
    disc = disc_named(shop, options.disc).name if options.disc else ""
    if options.limits:
        accepted.choice("limits", options.limits, tuple(named_limits()))
    accepted.choice("chain", options.chain, ("riaa", "flat", "unknown"))
    return replace(
        options,
        disc=disc,
        rpm=None if options.rpm is None else accepted.number("speed", options.rpm, 8.0, 120.0, "rpm"),
        mains_hz=None
        if options.mains_hz is None
        else float(accepted.choice("mains frequency", f"{options.mains_hz:g}", ("50", "60"))),
        headshell=accepted.line("shop's own headshell", options.headshell or job.shop_headshell),
        recorder=accepted.line("recorder", options.recorder or settings.recorder),
        note=accepted.text("note", options.note),
    )


def measured(shop: Shop, capture_id: int, json_object: Mapping[str, Any]) -> CaptureView:
    """Add one measuring of a recording (an object of the reading contract): its readings and findings are added
    beside those of earlier measurings, each with the version of its method. All of it, or nothing."""
    with shop.writing() as session:
        row = _find_capture(session, capture_id)
        job = session.get_one(Job, row.job_id)
        now = shop.now()
        kept = {**json_object, "curves": None}
        kept["capture"] = {**json_object["capture"], "file": row.file_name, "sha256": row.sha256}
        kept["readings"] = [_with_conditions(reading, row) for reading in json_object["readings"]]
        measurement = Measurement(
            capture_id=row.id,
            engine_version=engine_version(),
            made_at=now,
            json_object=kept,
            curves=json_object.get("curves"),
        )
        session.add(measurement)
        session.flush()
        for reading in kept["readings"]:
            if reading["value"] is not None and reading["uncertainty"] is not None:
                session.add(reading_row(reading, job.id, row.stage, measurement.id, now))
        for finding in json_object["findings"]:
            session.add(
                FindingRow(
                    job_id=job.id,
                    stage=row.stage,
                    measurement_id=measurement.id,
                    code=finding["code"],
                    message=finding["message"],
                    band=finding["band"],
                    evidence=finding["evidence"],
                )
            )
        row.state, row.problem, row.claimed_by, row.claimed_until = "measured", "", "", None
        summarise(shop, session, job)
        return _view(session, row, job.number)


def not_measured(shop: Shop, capture_id: int, problem: str) -> CaptureView:
    """Write down why a recording could not be measured; the original stays."""
    with shop.writing() as session:
        row = _find_capture(session, capture_id)
        row.state, row.problem, row.claimed_by, row.claimed_until = "failed", problem, "", None
        job = session.get_one(Job, row.job_id)
        summarise(shop, session, job)
        return _view(session, row, job.number)


def measure_again(shop: Shop, capture_id: int) -> CaptureView:
    """Have a recording measured once more; what was measured before stays beside it."""
    with shop.writing() as session:
        row = _find_capture(session, capture_id)
        row.state, row.problem, row.attempts = "stored", "", 0
        job = session.get_one(Job, row.job_id)
        summarise(shop, session, job)
        return _view(session, row, job.number)


def reading_row(
    reading: Mapping[str, Any], job_id: int, stage: str, measurement_id: int | None, at: Any
) -> ReadingRow:
    """A reading of the contract as a row."""
    return ReadingRow(
        job_id=job_id,
        stage=stage,
        measurement_id=measurement_id,
        quantity=reading["quantity"],
        channel=reading["channel"],
        value=reading["value"],
        unit=reading["unit"],
        uncertainty=reading["uncertainty"],
        method=reading["method"],
        method_version=reading["method_version"],
        engine_version=engine_version(),
        verdict=reading["verdict"],
        taken_at=at,
        json_object=dict(reading),
    )


def _with_conditions(reading: Mapping[str, Any], row: Capture) -> dict[str, Any]:
    """The reading with what the shop knows of its take."""
    added: dict[str, Any] = {}
    if row.cold_short:
        added["state"] = COLD_SHORT
    for name, condition in (("disc", "test_disc"), ("headshell", "headshell"), ("recorder", "recorder")):
        if row.options.get(name):
            added[condition] = row.options[name]
    return {**reading, "conditions": {**reading["conditions"], **added}}


def no_recording_possible(shop: Shop, number: str, stage: str, reason: str) -> None:
    """Write down why a stage has no recording ("no cartridge"); an empty reason takes it back."""
    accepted.choice("stage", stage, ("before", "after"))
    with shop.writing() as session:
        job = open_job(session, number)
        words = accepted.text("reason", reason)
        session.add(NoRecording(job_id=job.id, stage=stage, reason=words, at=shop.now()))
        summarise(shop, session, job)


def captures_of(shop: Shop, number: str, stage: str | None = None) -> tuple[CaptureView, ...]:
    """The recordings of a job in the order in which they came, with their measurings."""
    with shop.reading() as session:
        job = find_job(session, number)
        wanted = select(Capture).where(Capture.job_id == job.id).order_by(Capture.id)
        if stage is not None:
            wanted = wanted.where(Capture.stage == stage)
        rows = list(session.scalars(wanted))
        measurings = measurements_of(session, [row.id for row in rows])
        return tuple(capture_view(row, job.number, measurings[row.id]) for row in rows)


def capture_of(shop: Shop, capture_id: int, *, curves: bool = False) -> CaptureView:
    """One recording with its measurings, and their curves when asked for."""
    with shop.reading() as session:
        row = _find_capture(session, capture_id)
        return _view(session, row, session.get_one(Job, row.job_id).number, curves)


def _view(session: Session, row: Capture, number: str, curves: bool = False) -> CaptureView:
    return capture_view(row, number, measurements_of(session, [row.id], curves)[row.id])


def measurements_of(
    session: Session, capture_ids: Sequence[int], curves: bool = False
) -> dict[int, tuple[MeasurementView, ...]]:
    """The measurings of some recordings, oldest first; with ``curves`` the newest of each carries its own."""
    rows: dict[int, list[Measurement]] = {capture_id: [] for capture_id in capture_ids}
    wanted = select(Measurement).where(Measurement.capture_id.in_(capture_ids)).order_by(Measurement.id)
    for row in session.scalars(wanted):
        rows[row.capture_id].append(row)
    return {
        capture_id: tuple(measurement_view(row, curves and row is kept[-1]) for row in kept)
        for capture_id, kept in rows.items()
    }


def _find_capture(session: Session, capture_id: int) -> Capture:
    return find_row(session, Capture, capture_id, "recording")


def printable_name(file_name: str) -> str:
    """The last part of a file's name, on one line."""
    name = PurePath(file_name.replace("\\", "/")).name
    return accepted.without_controls(name).replace("\n", " ").replace("\t", " ").strip()[-200:] or "recording"
