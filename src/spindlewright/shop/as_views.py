"""Rows of the database as the frozen dataclasses that leave this room."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any, cast

from spindlewright.shop.function_list import speed_name
from spindlewright.shop.tables.decks import Deck, Owner
from spindlewright.shop.tables.jobs import GoAhead, Job
from spindlewright.shop.tables.recordings import Capture, Measurement, NoRecording
from spindlewright.shop.tables.work import Handover, LeftUndone, Photo, SoakRun, TaskDone
from spindlewright.shop.views.job import DeckView, JobView, OwnerView
from spindlewright.shop.views.recordings import CaptureOptions, CaptureView, MeasurementView, NoRecordingView
from spindlewright.shop.views.stages import GoAheadView
from spindlewright.shop.views.work import HandoverView, LeftUndoneView, PhotoView, SoakView, TaskView


def owner_view(row: Owner) -> OwnerView:
    return OwnerView(row.id, row.name, row.contact, row.is_shop)


def deck_view(row: Deck) -> DeckView:
    return DeckView(
        id=row.id,
        description=row.description,
        serial=row.serial,
        drive=row.drive,
        motor=row.motor,
        arm=row.arm,
        automatic=row.automatic,
        speeds_rpm=tuple(row.speeds_rpm),
        plate_voltage_v=row.plate_voltage_v,
        plate_frequency_hz=row.plate_frequency_hz,
        abilities=dict(row.abilities),
        dimensions=dict(row.dimensions),
        version=row.version,
    )


def job_view(row: Job, waiting_for: str, handed_over_at: datetime | None) -> JobView:
    return JobView(
        id=row.id,
        number=row.number,
        arrived_at=row.arrived_at,
        complaint=row.complaint,
        condition=row.condition,
        brought_with=row.brought_with,
        missing=row.missing,
        look_over_fee=row.look_over_fee,
        stop_sum=row.stop_sum,
        currency=row.currency,
        shop_headshell=row.shop_headshell,
        waiting_for=waiting_for,
        handed_over_at=handed_over_at,
        version=row.version,
    )


def go_ahead_view(row: GoAhead) -> GoAheadView:
    day = row.at.date().isoformat()
    who = row.who or "the owner"
    up_to = f", up to {money_words(row.sum, row.currency)}" if row.sum is not None else ""
    how = f", {row.how}" if row.how else ""
    words = {
        "owner_yes": f"{_capital(who)} said yes on {day}{how}{up_to}.",
        "owner_no": f"{_capital(who)} said no on {day}{how}.",
        "own_deck": f"The shop's own deck, decided on {day}{up_to}.",
    }[row.kind]
    return GoAheadView(cast(Any, row.kind), row.who, row.how, row.at, row.sum, row.currency, row.note, words)


def capture_view(row: Capture, job_number: str, measurements: tuple[MeasurementView, ...] = ()) -> CaptureView:
    return CaptureView(
        id=row.id,
        job_number=job_number,
        stage=cast(Any, row.stage),
        file_name=row.file_name,
        sha256=row.sha256,
        size_bytes=row.size_bytes,
        options=options_of(row.options),
        cold_short=row.cold_short,
        state=cast(Any, row.state),
        problem=row.problem,
        received_at=row.received_at,
        measurement=measurements[-1] if measurements else None,
        earlier=measurements[:-1],
    )


def options_of(kept: dict[str, Any]) -> CaptureOptions:
    """Kept options; keys that this version does not know are left out."""
    return CaptureOptions(**{key: value for key, value in kept.items() if key in CaptureOptions.__dataclass_fields__})


def measurement_view(row: Measurement, with_curves: bool = False) -> MeasurementView:
    json_object = {**row.json_object, "curves": row.curves if with_curves else None}
    return MeasurementView(row.id, row.engine_version, row.made_at, json_object)


def no_recording_view(row: NoRecording) -> NoRecordingView:
    when = {"before": "on arrival", "after": "after the work"}.get(row.stage, f"at {row.stage}")
    return NoRecordingView(cast(Any, row.stage), row.reason, f"could not be read {when}: {row.reason}", row.at)


def task_view(row: TaskDone) -> TaskView:
    return TaskView(
        id=row.id,
        stage=cast(Any, row.stage),
        words=row.words,
        template=row.template,
        step=f"task.{row.template}" if row.template else "",
        parts=row.parts,
        result=row.result,
        planned_at=row.planned_at,
        done_at=row.done_at,
    )


def soak_view(row: SoakRun) -> SoakView:
    length = f"{row.length_min:g} min" if row.length_min < 120 else f"{row.length_min / 60:.3g} h"
    note = f": {row.note}" if row.note else ""
    words = f"Soak run of {length}, {row.result}{note}."
    return SoakView(row.id, row.length_min, cast(Any, row.result), row.note, row.ended_at, words)


def left_undone_view(row: LeftUndone) -> LeftUndoneView:
    return LeftUndoneView(row.id, row.what, row.why, row.at)


def photo_view(row: Photo) -> PhotoView:
    return PhotoView(
        row.id,
        cast(Any, row.stage),
        row.file_name,
        row.sha256,
        row.size_bytes,
        row.media_type,
        row.words,
        row.received_at,
    )


def handover_view(row: Handover) -> HandoverView:
    return HandoverView(row.to_whom, row.stands_for_it, row.price, row.currency, row.note, row.at)


def money_words(amount: Decimal, currency: str) -> str:
    """A sum as it is written.

    >>> money_words(Decimal("80"), "EUR")
    '80.00 EUR'
    """
    return f"{amount:.2f} {currency}".strip()


def options_words(options: CaptureOptions) -> str:
    """How a recording was made, in words: disc, speed, and what is unusual.

    >>> options_words(CaptureOptions(disc="speed disc", rpm=45.0))
    'speed disc, 45 rpm'
    """
    parts = [options.disc] if options.disc else []
    if options.arm_lifted:
        parts.append("arm lifted")
    if options.rpm is not None:
        parts.append(f"{speed_name(options.rpm)} rpm")
    if options.chain != "riaa":
        parts.append({"flat": "without equalisation", "unknown": "chain not known"}[options.chain])
    if options.headshell:
        parts.append(f"shop's own headshell: {options.headshell}")
    return ", ".join(parts)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
