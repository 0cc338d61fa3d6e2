"""The service sheet as a PDF."""

from __future__ import annotations

from spindlewright.sheets.from_job_card import sheet_content
from spindlewright.sheets.typesetting import typeset
from spindlewright.shop.settings import ShopSettings
from spindlewright.shop.views.card import JobCard

TEMPLATE = "service_sheet.typ"


def service_sheet(card: JobCard, settings: ShopSettings, paper: str = "") -> bytes:
    """The service sheet of a job; make the card with ``curves=True`` to have its charts.

    ``paper`` is ``a4`` or ``letter``, empty for the shop's own. The same card gives the same bytes. Raises SheetError.
    """
    return typeset(TEMPLATE, sheet_content(card, settings), paper or settings.paper)
