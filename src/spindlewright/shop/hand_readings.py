"""Readings taken by hand (scale, callipers, meter, counted turns), kept like every other reading."""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.contract import reading_object
from spindlewright.readings.reading import Channel, Reading
from spindlewright.shop import accepted
from spindlewright.shop.errors import NotAccepted, NotFound, NotOpenYet
from spindlewright.shop.facts import gates_in
from spindlewright.shop.gate_rules import all_answered, refusal
from spindlewright.shop.go_ahead import need_go_ahead
from spindlewright.shop.recordings import reading_row
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_row, open_job, summarise
from spindlewright.shop.tables.jobs import Job
from spindlewright.shop.tables.recordings import ReadingRow, ReadingWithdrawn

HAND_STAGES = ("before", "work", "set_up", "after")


def typed_reading(
    shop: Shop,
    number: str,
    stage: str,
    quantity: str,
    typed: str,
    instrument: str,
    uncertainty: str | float | None = None,
    channel: Channel | None = None,
) -> int:
    """Keep what was typed from an instrument, like "1,8 g" from the "scale"; gives the reading's id."""
    from spindlewright.readings.hand_readings import hand_reading

    try:
        reading = hand_reading(quantity, typed, instrument, uncertainty or None, channel)
    except ValueError as problem:
        raise NotAccepted.whole(quantity, str(problem)) from None
    return add_reading(shop, number, stage, reading)


def counted_turns_reading(
    shop: Shop, number: str, stage: str, tap_times_s: Sequence[float], nominal_rpm: float
) -> int:
    """Keep the speed from taps, one a turn; gives the reading's id."""
    from spindlewright.readings.counted_turns import counted_turns

    try:
        reading = counted_turns(tap_times_s, nominal_rpm)
    except ValueError as problem:
        raise NotAccepted.whole("taps", str(problem)) from None
    return add_reading(shop, number, stage, reading)


def add_reading(shop: Shop, number: str, stage: str, reading: Reading) -> int:
    """Keep a reading that needs no recording; gives its id. NotOpenYet when a gate or the go-ahead closes it."""
    accepted.choice("stage", stage, HAND_STAGES)
    with shop.writing() as session:
        job = open_job(session, number)
        if stage != "before":
            need_go_ahead(session, job, "This reading")
        gates = gates_in(session, job)
        title = reading.quantity.replace("_", " ").capitalize()
        if (why := refusal(gates, reading.quantity, f"{title} is")) is not None:
            raise NotOpenYet(why)
        if stage == "before" and not all_answered(gates):
            gate = next(gate for gate in gates if gate.state == "not answered yet")
            raise NotOpenYet(f'Before is not open yet: first answer the gates of Arrival, next is "{gate.title}".')
        row = reading_row(reading_object(reading), job.id, stage, None, shop.now())
        session.add(row)
        summarise(shop, session, job)
        return row.id


def withdraw_reading(shop: Shop, reading_id: int, reason: str) -> None:
    """Say that a hand reading was a slip: it stays, marked with the reason, and counts no more."""
    with shop.writing() as session:
        row = find_row(session, ReadingRow, reading_id, "reading by hand")
        if row.measurement_id is not None:
            raise NotFound(f"Reading {reading_id} was not taken by hand. Measure its recording again instead.")
        job = open_job(session, session.get_one(Job, row.job_id).number)
        if session.get(ReadingWithdrawn, reading_id) is None:
            words = accepted.text("reason", reason, needed=True)
            session.add(ReadingWithdrawn(reading_id=reading_id, reason=words, at=shop.now()))
        summarise(shop, session, job)
