"""What goes out on paper, as PDF: service sheet, owner's page, job card to print."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from starlette.responses import Response

from spindlewright.shop.job_card import job_card
from spindlewright.shop.settings import settings_of
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.refused import Refused

router = APIRouter(prefix="/jobs/{number}")

Paper = Annotated[Literal["a4", "letter"] | None, Query()]


@router.get("/sheet.pdf")
def sheet(shop: ShopAtHand, number: str, paper: Paper = None) -> Response:
    """The service sheet, with its charts."""
    from spindlewright.sheets.service_sheet import service_sheet

    card, settings = job_card(shop, number, curves=True), settings_of(shop)
    return _pdf(lambda: service_sheet(card, settings, paper or ""), f"service-sheet-{card.job.number}.pdf")


@router.get("/owner-page.pdf")
def owner(shop: ShopAtHand, number: str, paper: Paper = None) -> Response:
    """The owner's page, in plain words."""
    from spindlewright.sheets.owner_page import owner_page

    card, settings = job_card(shop, number), settings_of(shop)
    return _pdf(lambda: owner_page(card, settings, paper or ""), f"owner-page-{card.job.number}.pdf")


@router.get("/job-card.pdf")
def printed_card(shop: ShopAtHand, number: str, paper: Paper = None) -> Response:
    """The job card with boxes to fill by hand."""
    from spindlewright.sheets.printed_job_card import printed_job_card

    card, settings = job_card(shop, number), settings_of(shop)
    return _pdf(lambda: printed_job_card(card, settings, paper or ""), f"job-card-{card.job.number}.pdf")


def _pdf(made: Callable[[], bytes], name: str) -> Response:
    from spindlewright.sheets.typesetting import SheetError

    try:
        body = made()
    except SheetError as problem:
        raise Refused(409, str(problem)) from None
    return Response(body, media_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'})
