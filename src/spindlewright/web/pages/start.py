"""The first-run page: what one can do with an empty shop."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.shop.jobs_list import jobs
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.rendering import page

router = APIRouter()


@router.get("/start")
def show(request: Request, shop: ShopAtHand) -> Response:
    """Three ways to begin; no example data needed."""
    return page(request, "start", job_count=jobs(shop, limit=1).total)
