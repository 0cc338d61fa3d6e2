"""The first-run page: what one can do with an empty shop, and the demonstration shop for looking round."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.shop.jobs_list import jobs
from spindlewright.web.at_hand import DemonstrationAtHand, ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.refused import Refused
from spindlewright.web.rendering import page

router = APIRouter()


@router.get("/start")
def show(request: Request, shop: ShopAtHand, demonstration: DemonstrationAtHand) -> Response:
    """Ways to begin; no example data needed."""
    return page(
        request,
        "start",
        job_count=jobs(shop, limit=1).total,
        demonstration=demonstration.state if demonstration else None,
        demonstration_folder=demonstration.folder if demonstration else "",
    )


@router.post("/start/demonstration")
def make_demonstration(demonstration: DemonstrationAtHand) -> Response:
    """Begin making the demonstration shop; the page then shows how far it is."""
    if demonstration is None:
        raise Refused(409, "This is the demonstration already. Look round in its jobs list.")
    demonstration.begin()
    return back_to("/start", "demonstration")
