"""The shop's own settings: name and address on sheets, mains, currency, paper, limits."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form
from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.shop.errors import NotAccepted
from spindlewright.shop.settings import ShopSettings, change_settings, settings_of
from spindlewright.standards.limits import named_limits
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.rendering import page
from spindlewright.web.typed import number_or_none
from spindlewright.wording import short

router = APIRouter()


class TypedSettings(BaseModel):
    """The form as typed."""

    shop_name: str = ""
    shop_address: str = ""
    stands_for_it: str = ""
    mains_voltage_v: str = ""
    mains_frequency_hz: str = ""
    currency: str = ""
    paper: str = ""
    limits: str = ""
    recorder: str = ""


FIELD_OF = {
    "name of the shop": "shop_name",
    "address of the shop": "shop_address",
    "stands for it": "stands_for_it",
    "mains voltage": "mains_voltage_v",
    "mains frequency": "mains_frequency_hz",
}


@router.get("/settings")
def show(request: Request, shop: ShopAtHand, kept: bool = False) -> Response:
    """The settings as they are."""
    now = settings_of(shop)
    typed = TypedSettings(
        **{
            name: short(value) if isinstance(value, int | float) else value
            for name, value in ((name, getattr(now, name)) for name in TypedSettings.model_fields)
        }
    )
    return _form(request, typed, kept=kept)


@router.post("/settings")
def keep(request: Request, shop: ShopAtHand, typed: Annotated[TypedSettings, Form()]) -> Response:
    """Keep them; what can't be taken is shown in the form."""
    try:
        given: dict[str, Any] = typed.model_dump()
        for name, title in (("mains_voltage_v", "mains voltage"), ("mains_frequency_hz", "mains frequency")):
            given[name] = number_or_none(title, given[name]) or 0.0
        change_settings(shop, ShopSettings(**given))
    except NotAccepted as problem:
        return _form(request, typed, problem)
    return back_to("/settings?kept=1")


def _form(request: Request, typed: TypedSettings, problem: NotAccepted | None = None, kept: bool = False) -> Response:
    wrong = {} if problem is None else {FIELD_OF.get(problem.field, problem.field): str(problem)}
    return page(
        request,
        "settings",
        status=422 if problem else 200,
        typed=typed,
        wrong=wrong,
        kept=kept,
        limit_choices=[(name, found.title) for name, found in named_limits().items()],
    )
