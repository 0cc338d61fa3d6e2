"""Arrival: what was said and seen, what was agreed, what the deck is."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.setup.rotating_parts import DIMENSIONS
from spindlewright.shop.arrival import ABILITIES, ArrivalChange, change_arrival
from spindlewright.shop.waiting import wait_for
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.typed import Number, Text, Texts, Ticked, number_or_none, rpm_or_none

router = APIRouter(prefix="/jobs/{number}/arrival")


@router.post("/condition")
def condition(
    shop: ShopAtHand,
    number: str,
    version: Number,
    complaint: Text = "",
    condition: Text = "",
    brought_with: Text = "",
    missing: Text = "",
) -> Response:
    """What the owner said, how the deck came."""
    change = ArrivalChange(complaint=complaint, condition=condition, brought_with=brought_with, missing=missing)
    change_arrival(shop, number, version, change)
    return back_to(f"/jobs/{number}", "arrival-agreement")


@router.post("/agreement")
def agreement(
    shop: ShopAtHand,
    number: str,
    version: Number,
    owner_name: Text = "",
    owner_contact: Text = "",
    own_deck: Ticked = False,
    look_over_fee: Text = "",
    stop_sum: Text = "",
    currency: Text = "",
) -> Response:
    """Whose deck it is, the look-over fee, the stop sum."""
    change = ArrivalChange(
        owner_name=owner_name,
        owner_contact=owner_contact,
        own_deck=own_deck,
        look_over_fee=look_over_fee,
        stop_sum=stop_sum,
        currency=currency,
    )
    change_arrival(shop, number, version, change)
    return back_to(f"/jobs/{number}", "arrival-gates")


@router.post("/deck")
def deck(
    request: Request,
    shop: ShopAtHand,
    number: str,
    version: Number,
    deck: Text = "",
    serial: Text = "",
    drive: Text = "unknown",
    motor: Text = "unknown",
    arm: Text = "unknown",
    automatic: Ticked = False,
    speeds: Texts = [],  # noqa: B006 - read only
    plate_voltage_v: Text = "",
    plate_frequency_hz: Text = "",
) -> Response:
    """What the deck is, and what can be turned on it."""
    typed = {name: str(request.state.typed.get(name, "")) for name in (*ABILITIES, *DIMENSIONS)}
    sizes = {name: number_or_none(DIMENSIONS[name], typed[name]) for name in DIMENSIONS}
    change = ArrivalChange(
        deck=deck,
        serial=serial,
        drive=drive,
        motor=motor,
        arm=arm,
        automatic=automatic,
        speeds_rpm=tuple(speed for text in speeds if (speed := rpm_or_none("speed", text)) is not None),
        plate_voltage_v=number_or_none("voltage on the plate", plate_voltage_v),
        plate_frequency_hz=number_or_none("frequency on the plate", plate_frequency_hz),
        abilities={name: typed[name] for name in ABILITIES if typed[name]},
        dimensions={name: size for name, size in sizes.items() if size is not None},
    )
    change_arrival(shop, number, version, change)
    return back_to(f"/jobs/{number}", "arrival-deck")


@router.post("/waiting")
def waiting(shop: ShopAtHand, number: str, what: Text = "") -> Response:
    """What the job waits for; empty: it waits no more."""
    wait_for(shop, number, what)
    return back_to(f"/jobs/{number}")
