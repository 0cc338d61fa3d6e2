"""The jobs list: what is on the bench, what waits, what is ready; searched by words."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.shop.jobs_list import ALL, PLACES, jobs
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.rendering import page

router = APIRouter()
OPEN_PLACES = ("on the bench", "ready", "waiting")
"""What is shown when nothing is asked: the work at hand first."""
FEW, MANY = 20, 50


@router.get("/")
def show(request: Request, shop: ShopAtHand, words: str = "", place: str = "", start: int = 0) -> Response:
    """The open jobs by place, or one place (or all) fifty at a time. An empty shop begins at ``/start``."""
    wanted = place if place in (*PLACES, ALL) else ""
    start = min(max(0, start), 1_000_000)
    if wanted:
        found = jobs(shop, words, wanted, MANY, start)
        groups = [(wanted, found)]
    else:
        groups = [(one, jobs(shop, words, one, FEW)) for one in OPEN_PLACES]
        found = groups[0][1]
    counts = found.counts
    if not words and not sum(counts.values()):
        return back_to("/start")
    shown = sum(len(group.rows) for _, group in groups)
    return page(
        request,
        "jobs",
        groups=[(key, group) for key, group in groups if group.rows],
        counts=counts,
        open_count=sum(counts[key] for key in OPEN_PLACES),
        all_count=sum(counts.values()),
        words=words,
        place=wanted,
        start=start,
        next_start=start + shown if wanted and start + shown < found.total else None,
        previous_start=max(0, start - MANY) if start else None,
        total=found.total,
    )
