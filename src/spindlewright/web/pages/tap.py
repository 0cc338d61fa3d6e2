"""Tap the turns: the speed of a platter with one finger."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.readings.counted_turns import LEAST_TAPS
from spindlewright.shop.jobs_list import jobs
from spindlewright.standards.cautions import cautions_for
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.rendering import page

router = APIRouter()
SPEEDS_RPM = (100.0 / 3.0, 45.0, 3600.0 / 46.0, 50.0 / 3.0)


@router.get("/tap")
def show(request: Request, shop: ShopAtHand, job: str = "", stage: str = "", rpm: float = SPEEDS_RPM[0]) -> Response:
    """The pad. ``job`` and ``stage`` say where the reading is to go, when it was called from a job card."""
    open_jobs = jobs(shop, place="on the bench", limit=100).rows
    if job and all(row.number != job for row in open_jobs):
        open_jobs = jobs(shop, words=job, limit=1).rows + open_jobs
    return page(
        request,
        "tap",
        open_jobs=open_jobs,
        job=job,
        stage=stage,
        speeds_rpm=SPEEDS_RPM,
        rpm=min(SPEEDS_RPM, key=lambda one: abs(one - rpm)),
        least_taps=LEAST_TAPS,
        cautions=cautions_for("hand.speed_by_counted_turns"),
    )
