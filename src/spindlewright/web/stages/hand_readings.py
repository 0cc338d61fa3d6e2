"""Readings by hand of a stage: scale, callipers, meter, stopwatch."""

from __future__ import annotations

from typing import Any, cast

from fastapi import APIRouter
from starlette.responses import Response

from spindlewright.shop.hand_readings import typed_reading, withdraw_reading
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.typed import Text

router = APIRouter(prefix="/jobs/{number}/{stage}/by-hand")


@router.post("")
def keep(
    shop: ShopAtHand,
    number: str,
    stage: str,
    quantity: Text,
    typed: Text = "",
    instrument: Text = "",
    uncertainty: Text = "",
    channel: Text = "",
) -> Response:
    """Keep what the instrument read."""
    typed_reading(shop, number, stage, quantity, typed, instrument, uncertainty, cast(Any, channel or None))
    return back_to(f"/jobs/{number}", f"{stage}-hand")


@router.post("/{reading_id}/withdraw")
def withdraw(shop: ShopAtHand, number: str, stage: str, reading_id: int, reason: Text = "") -> Response:
    """A slip: it counts no more, and stays with its reason."""
    withdraw_reading(shop, reading_id, reason)
    return back_to(f"/jobs/{number}", f"{stage}-hand")
