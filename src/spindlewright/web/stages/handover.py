"""Handover: the deck given back; and the job opened again."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from spindlewright.shop.handover import HandOver, hand_over, open_again
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.typed import Text

router = APIRouter(prefix="/jobs/{number}/handover")


@router.post("")
def give_back(
    shop: ShopAtHand, number: str, to_whom: Text = "", stands_for_it: Text = "", price: Text = "", note: Text = ""
) -> Response:
    """Close the job."""
    hand_over(shop, number, HandOver(to_whom, stands_for_it, price, note))
    return back_to(f"/jobs/{number}", "handover")


@router.post("/open-again")
def reopen(shop: ShopAtHand, number: str, why: Text = "") -> Response:
    """Open the job again."""
    open_again(shop, number, why)
    return back_to(f"/jobs/{number}")
