"""One recording and what it says: readings, findings, the one sentence, next moves, rates of the turning parts."""

from __future__ import annotations

from spindlewright.readings.from_object import fitness_from_object
from spindlewright.readings.reading import Reading
from spindlewright.setup.headline import headline
from spindlewright.setup.next_moves import next_moves
from spindlewright.setup.rotating_parts import DimensionError, rates_to_mark, rotating_parts
from spindlewright.shop.advice import abilities_of
from spindlewright.shop.errors import NotFound
from spindlewright.shop.job_card import job_card
from spindlewright.shop.recordings import capture_of
from spindlewright.shop.settings import settings_of
from spindlewright.shop.store import Shop
from spindlewright.shop.views.job import DeckView
from spindlewright.shop.views.recording_card import RecordingCard


def recording_card(shop: Shop, number: str, capture_id: int) -> RecordingCard:
    """The recording ``capture_id`` of job ``number``. NotFound when the job or the job's recording is not there."""
    card = job_card(shop, number)
    capture = capture_of(shop, capture_id, curves=True)
    if capture.job_number != card.job.number:
        raise NotFound(
            f"Job {card.job.number} has no recording {capture_id}; it belongs to job {capture.job_number}. "
            "Look for it on that job card."
        )
    if capture.measurement is None:
        return RecordingCard(card, capture)
    readings = tuple(view for view in card.readings if view.capture_id == capture_id)
    findings = tuple(view for view in card.findings if view.capture_id == capture_id)
    fitness = tuple(fitness_from_object(item) for item in capture.fitness)
    mains_hz = settings_of(shop).mains_frequency_hz
    abilities = abilities_of(card.deck, mains_hz)
    counted = [view.reading for view in readings if not view.withdrawn]
    found = [view.finding for view in findings]
    rates, why_not = _rates(card.deck, counted, mains_hz)
    return RecordingCard(
        card,
        capture,
        readings,
        findings,
        fitness,
        headline(counted, found, fitness, abilities),
        next_moves(counted, found, fitness, abilities),
        rates,
        why_not,
    )


def _rates(deck: DeckView, readings: list[Reading], mains_hz: float) -> tuple[dict[str, tuple[float, ...]], str]:
    rate = next((r for r in readings if r.quantity == "rotation_rate" and r.conditions.get("main")), None)
    if rate is None:
        return {}, ""
    try:
        parts = rotating_parts(rate.value, deck.drive, deck.dimensions, mains_hz, deck.motor)
    except DimensionError as error:
        return {}, str(error)
    return rates_to_mark(parts), ""
