"""Recordings of a stage: dropped or chosen files, none possible, the watched folder, measuring again."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, File, UploadFile
from starlette.responses import Response

from spindlewright.shop.errors import ShopError
from spindlewright.shop.recordings import may_take_in, measure_again, no_recording_possible, take_in
from spindlewright.shop.watched_folder import join_folder, leave_folder
from spindlewright.web.at_hand import QueueAtHand, ShopAtHand
from spindlewright.web.recording_options import recording_options
from spindlewright.web.redirects import back_to
from spindlewright.web.refused import Refused
from spindlewright.web.typed import Text, Ticked

router = APIRouter(prefix="/jobs/{number}/{stage}")


@router.post("/recordings")
def take(
    shop: ShopAtHand,
    queue: QueueAtHand,
    number: str,
    stage: str,
    files: Annotated[list[UploadFile], File()],
    disc: Text = "",
    rpm: Text = "",
    chain: Text = "riaa",
    arm_lifted: Ticked = False,
    note: Text = "",
) -> Response:
    """Take in the files; what can't be taken is told after the others are safe."""
    options = recording_options(disc, rpm, chain, arm_lifted, note)
    may_take_in(shop, number, stage, options)
    refused = []
    for file in files:
        try:
            take_in(shop, number, stage, file.filename or "recording", file.file, options)
        except ShopError as problem:
            refused.append(f"{file.filename}: {problem}")
    queue.wake()
    if refused:
        raise Refused(422, " ".join(refused))
    return back_to(f"/jobs/{number}", f"{stage}-recordings")


@router.post("/recordings/{capture_id}/again")
def again(shop: ShopAtHand, queue: QueueAtHand, number: str, stage: str, capture_id: int) -> Response:
    """Measure once more with the methods of today; the earlier readings stay."""
    measure_again(shop, capture_id)
    queue.wake()
    return back_to(f"/jobs/{number}", f"{stage}-recordings")


@router.post("/no-recording")
def none_possible(shop: ShopAtHand, number: str, stage: str, reason: Text = "") -> Response:
    """Write down why there is none; empty: there may be one after all."""
    no_recording_possible(shop, number, stage, reason)
    return back_to(f"/jobs/{number}", f"{stage}-recordings")


@router.post("/watched-folder")
def watch(
    shop: ShopAtHand,
    number: str,
    stage: str,
    folder: Text = "",
    disc: Text = "",
    rpm: Text = "",
    chain: Text = "riaa",
    arm_lifted: Ticked = False,
    note: Text = "",
) -> Response:
    """Join a folder of the bench computer to this stage."""
    join_folder(shop, folder, number, stage, recording_options(disc, rpm, chain, arm_lifted, note))
    return back_to(f"/jobs/{number}", f"{stage}-folder")


@router.post("/watched-folder/leave")
def leave(shop: ShopAtHand, number: str, stage: str) -> Response:
    """Watch it no more."""
    leave_folder(shop)
    return back_to(f"/jobs/{number}", f"{stage}-folder")
