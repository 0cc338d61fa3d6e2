"""Work and set-up: tasks planned and done; what is left undone, and why."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from spindlewright.shop.left_undone import leave_undone, take_back
from spindlewright.shop.task_list import template_of
from spindlewright.shop.tasks import NewTask, add_task, drop_task, task_done
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.typed import Text

router = APIRouter(prefix="/jobs/{number}")


@router.post("/{stage}/tasks")
def add(
    shop: ShopAtHand,
    number: str,
    stage: str,
    words: Text = "",
    template: Text = "",
    parts: Text = "",
    result: Text = "",
    do: Text = "plan",
) -> Response:
    """Plan a task, or write it down as done."""
    known = template_of(template)
    told = words or (known.words if known else "")
    task = add_task(shop, number, NewTask(told, stage, known.key if known else "", parts, result, do == "done"))
    return back_to(f"/jobs/{number}", f"task-{task.id}")


@router.post("/{stage}/tasks/{task_id}")
def tick(
    shop: ShopAtHand, number: str, stage: str, task_id: int, do: Text, result: Text = "", parts: Text = ""
) -> Response:
    """Done, not done after all, or dropped."""
    if do == "drop":
        drop_task(shop, task_id)
        return back_to(f"/jobs/{number}", f"{stage}-tasks")
    task_done(shop, task_id, result, parts, done=do == "done")
    return back_to(f"/jobs/{number}", f"{stage}-tasks")


@router.post("/left-undone")
def leave(shop: ShopAtHand, number: str, what: Text = "", why: Text = "") -> Response:
    """Something is left as it is; the sheet says so."""
    leave_undone(shop, number, what, why)
    return back_to(f"/jobs/{number}", "left-undone")


@router.post("/left-undone/{left_id}/take-back")
def was_done(shop: ShopAtHand, number: str, left_id: int) -> Response:
    """It was done after all."""
    take_back(shop, left_id)
    return back_to(f"/jobs/{number}", "left-undone")
