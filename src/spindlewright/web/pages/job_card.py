"""The job card: one page a job, its seven stages, what is done and the one next step."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.reading_words import ReadingLine, lines_by_subject
from spindlewright.readings.hand_readings import HAND_QUANTITIES
from spindlewright.setup.rotating_parts import DIMENSIONS
from spindlewright.shop.arrival import ABILITIES, CHOICES
from spindlewright.shop.discs import discs
from spindlewright.shop.gate_questions import COLD_SHORT, SHORT_TAKE_S
from spindlewright.shop.job_card import job_card
from spindlewright.shop.task_list import tasks_for, template_of
from spindlewright.shop.views.recordings import ReadingView
from spindlewright.web.at_hand import ShopAtHand, WatcherAtHand
from spindlewright.web.recording_options import CHAINS
from spindlewright.web.rendering import page

router = APIRouter()


@router.get("/jobs/{number}")
def show(request: Request, shop: ShopAtHand, watcher: WatcherAtHand, number: str) -> Response:
    """The whole card."""
    return page(
        request,
        "job_card",
        card=job_card(shop, number),
        discs=discs(shop),
        watch=watcher.state(),
        chains=CHAINS,
        choices=CHOICES,
        abilities=ABILITIES,
        dimensions=DIMENSIONS,
        hand_quantities=tuple(HAND_QUANTITIES.values()),
        tasks_for=tasks_for,
        template_of=template_of,
        subjects_of=subjects_of,
        cold_short=COLD_SHORT,
        short_take_s=SHORT_TAKE_S,
    )


def subjects_of(views: tuple[ReadingView, ...], capture_id: int) -> list[tuple[str, list[ReadingLine]]]:
    """The readings of one recording as lines under their headings."""
    return lines_by_subject([view.json_object for view in views if view.capture_id == capture_id])
