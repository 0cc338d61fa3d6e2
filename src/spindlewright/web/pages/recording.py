"""One recording: is it fit, what it says, the next moves, and the charts behind it."""

from __future__ import annotations

from collections.abc import Iterator

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.charts.of_a_recording import chart_makers
from spindlewright.reading_words import limit_sources, lines_by_subject
from spindlewright.shop.recording_card import recording_card
from spindlewright.shop.views.recording_card import RecordingCard
from spindlewright.web.at_hand import QueueAtHand, ShopAtHand
from spindlewright.web.drawn_charts import CHARTS, Shown
from spindlewright.web.rendering import flowing_page

router = APIRouter()


@router.get("/jobs/{number}/recordings/{capture_id}")
def show(request: Request, shop: ShopAtHand, queue: QueueAtHand, number: str, capture_id: int) -> Response:
    """The page of one recording."""
    shown = recording_card(shop, number, capture_id)
    stored = [view.json_object for view in shown.readings_that_count]
    return flowing_page(
        request,
        "recording",
        shown=shown,
        card=shown.card,
        capture=shown.capture,
        progress=queue.progress_of(capture_id),
        subjects=lines_by_subject(stored),
        sources=limit_sources(stored),
        withdrawn=[view for view in shown.readings if view.withdrawn],
        charts=_charts(shown),
    )


def _charts(shown: RecordingCard) -> Iterator[Shown]:
    measurement = shown.capture.measurement
    if measurement is None:
        return iter(())
    rates = shown.rates_hz
    key = (measurement.id, measurement.made_at, tuple(rates.items()))
    return CHARTS.of(key, lambda: chart_makers(measurement.json_object, rates))
