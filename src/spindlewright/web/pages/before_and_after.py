"""Before against after: one view and one chart of all quantities that both states have."""

from __future__ import annotations

from functools import lru_cache

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.charts.before_against_after import before_against_after
from spindlewright.charts.chart import Chart
from spindlewright.charts.comparison_row import Row
from spindlewright.charts.comparison_rows import comparison_rows, limits_of
from spindlewright.shop.job_card import job_card
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.rendering import page

router = APIRouter()


@router.get("/jobs/{number}/before-and-after")
def show(request: Request, shop: ShopAtHand, number: str) -> Response:
    """The page that shows whether the deck is better than it came."""
    card = job_card(shop, number)
    limits = limits_of(view.reading for stage in ("before", "after") for view in card.readings_of(stage))
    return page(
        request,
        "before-and-after",
        card=card,
        comparisons=card.comparisons,
        not_compared=card.not_compared,
        chart=drawn(comparison_rows(card.comparisons, limits)),
        functions=[f for f in card.functions if f.before is not None and f.after is not None and f.before != f.after],
    )


@lru_cache(maxsize=64)
def drawn(rows: tuple[Row, ...]) -> Chart | None:
    """The chart of these rows, drawn once."""
    return before_against_after(rows)
