"""A new job: the deck's name and the owner's words are enough; the rest can come later."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from fastapi import APIRouter, Form
from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.shop import accepted
from spindlewright.shop.arrival import ABILITIES, CHOICES, NewJob, new_job
from spindlewright.shop.errors import NotAccepted
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.rendering import page

router = APIRouter()


class TypedJob(BaseModel):
    """The form as typed."""

    deck: str = ""
    deck_id: str = ""
    complaint: str = ""
    owner_name: str = ""
    owner_contact: str = ""
    own_deck: bool = False
    serial: str = ""
    drive: str = "unknown"
    motor: str = "unknown"
    arm: str = "unknown"
    speed_trim: str = "unknown"
    condition: str = ""
    brought_with: str = ""
    missing: str = ""
    look_over_fee: str = ""
    stop_sum: str = ""


OF_THE_DECK = {"deck", "serial", "drive", "motor", "arm", "speed_trim"}
"""What is known already of a deck that was here before, and is left as it is."""
FIELD_OF = {
    "owner": "owner_name",
    "owner's contact": "owner_contact",
    "the owner's words": "complaint",
    "serial number": "serial",
    "came with it": "brought_with",
    "look-over fee": "look_over_fee",
    "stop sum": "stop_sum",
}
"""The form's field for what the shop names in words; the others have the same name."""


@router.get("/new")
def show(request: Request) -> Response:
    """The empty form."""
    return _form(request, TypedJob())


@router.post("/new")
def begin(request: Request, shop: ShopAtHand, typed: Annotated[TypedJob, Form()]) -> Response:
    """Begin the job and go to its card; what can't be taken is shown in the form, with all that was typed."""
    try:
        number = new_job(shop, _job_of(typed))
    except NotAccepted as problem:
        return _form(request, typed, problem)
    return back_to(f"/jobs/{number}")


def _job_of(typed: TypedJob) -> NewJob:
    given = typed.model_dump(exclude=OF_THE_DECK | {"deck_id", "look_over_fee", "stop_sum"})
    known = int(typed.deck_id) if typed.deck_id.isdecimal() and len(typed.deck_id) < 10 else None
    if known is None:
        given |= {**typed.model_dump(include=OF_THE_DECK - {"speed_trim"})}
        given["abilities"] = {"speed_trim": typed.speed_trim}
    return NewJob(
        **given,
        deck_id=known,
        look_over_fee=_sum("look-over fee", typed.look_over_fee),
        stop_sum=_sum("stop sum", typed.stop_sum),
    )


def _sum(field: str, text: str) -> Decimal | None:
    return accepted.money(field, text)


def _form(request: Request, typed: TypedJob, problem: NotAccepted | None = None) -> Response:
    wrong = {} if problem is None else {FIELD_OF.get(problem.field, problem.field): str(problem)}
    more = set(wrong) - {"deck", "complaint"} or any(
        value not in ("", "unknown", False) for key, value in typed if key not in ("deck", "deck_id", "complaint")
    )
    return page(
        request,
        "new",
        status=422 if problem else 200,
        typed=typed,
        wrong=wrong,
        more=bool(more),
        choices={**CHOICES, "speed_trim": ABILITIES["speed_trim"]},
    )
