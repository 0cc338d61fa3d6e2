"""Go-ahead: the owner's yes or no, or the shop's own deck."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.typed import Text, moment_or_none

router = APIRouter(prefix="/jobs/{number}/go_ahead")


@router.post("")
def keep(
    shop: ShopAtHand,
    number: str,
    kind: Text,
    who: Text = "",
    when: Text = "",
    how: Text = "",
    sum: Text = "",
    note: Text = "",
) -> Response:
    """Keep the answer; a later one counts instead."""
    give_go_ahead(shop, number, GoAhead(kind, who, moment_or_none("when", when), how, sum, note))
    return back_to(f"/jobs/{number}", "work" if kind != "owner_no" else "handover")
