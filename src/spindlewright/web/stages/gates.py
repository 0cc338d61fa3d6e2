"""The gates: one answer at a time, then on to the next question."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter
from starlette.responses import Response

from spindlewright.shop.arrival import use_shop_headshell
from spindlewright.shop.gates import answer_gate
from spindlewright.shop.views.stages import GateState
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.typed import Text

router = APIRouter(prefix="/jobs/{number}")


@router.post("/gates/{gate}/{question}")
def answer(shop: ShopAtHand, number: str, gate: str, question: str, answer: Text, note: Text = "") -> Response:
    """Keep the answer."""
    gates = answer_gate(shop, number, gate, question, answer, note)
    return back_to(f"/jobs/{number}", next_question(gates) or f"gate-{gate}")


@router.post("/shop-headshell")
def headshell(shop: ShopAtHand, number: str, name: Text = "") -> Response:
    """Recordings are made with the shop's own headshell, named; empty: the deck's own again."""
    use_shop_headshell(shop, number, name)
    return back_to(f"/jobs/{number}", "gate-play")


def next_question(gates: Sequence[GateState]) -> str:
    """The place on the page of the first question without an answer; empty when all are answered."""
    open_questions = (f"gate-{gate.key}-{one.key}" for gate in gates for one in gate.questions if one.answer is None)
    return next(open_questions, "")
