"""What is tried, listened to and run: functions before and after, listening, the soak run."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from spindlewright.shop.functions import check_function
from spindlewright.shop.listening import tick
from spindlewright.shop.soak import soak_run
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.refused import Refused
from spindlewright.web.typed import Text, number_or_none

router = APIRouter(prefix="/jobs/{number}")


@router.post("/{stage}/functions/{function}")
def function(shop: ShopAtHand, number: str, stage: str, function: str, answer: Text, note: Text = "") -> Response:
    """Keep how a function did, and go on to the next."""
    views = check_function(shop, number, stage, function, answer, note)
    left = (view.key for view in views if (view.before if stage == "before" else view.after) is None)
    following = next(left, None)
    return back_to(f"/jobs/{number}", f"{stage}-function-{following}" if following else f"{stage}-functions")


@router.post("/after/listening/{item}")
def listened(shop: ShopAtHand, number: str, item: str, answer: Text, note: Text = "") -> Response:
    """Keep what was heard, and go on to the next."""
    following = next((view.key for view in tick(shop, number, item, answer, note) if view.answer is None), None)
    return back_to(f"/jobs/{number}", f"listening-{following}" if following else "after-listening")


@router.post("/after/soak")
def soak(
    shop: ShopAtHand, number: str, length_min: Text = "", result: Text = "ran through", note: Text = ""
) -> Response:
    """Keep a soak run with its length."""
    length = number_or_none("length of the soak run", length_min)
    if length is None:
        raise Refused(422, "length of the soak run: found nothing, allowed are minutes; type how long it ran.")
    soak_run(shop, number, length, result, note)
    return back_to(f"/jobs/{number}", "after-soak")
