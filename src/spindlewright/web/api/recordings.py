"""Recordings for scripts and for the page's own progress: send one as it is, and see how far the measuring is."""

from __future__ import annotations

from typing import Annotated, BinaryIO, cast

from fastapi import APIRouter, Query
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request

from spindlewright.shop.recordings import captures_of, take_in
from spindlewright.shop.views.recordings import CaptureState, CaptureView, Progress
from spindlewright.shop.views.stages import Stage
from spindlewright.web.api_errors import ERRORS
from spindlewright.web.at_hand import QueueAtHand, ShopAtHand
from spindlewright.web.recording_options import recording_options
from spindlewright.web.sent_body import SentBody

router = APIRouter(prefix="/api/jobs/{number}/recordings", tags=["recordings"], responses=ERRORS)

AS_IT_IS = {
    "requestBody": {
        "required": True,
        "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
    }
}


class RecordingState(BaseModel):
    """One recording of the job. ``share`` of its measuring from 0 to 1, ``words`` what is being done."""

    id: int
    stage: Stage
    file_name: str
    state: CaptureState
    share: float
    words: str


@router.get("")
def states(shop: ShopAtHand, queue: QueueAtHand, number: str) -> list[RecordingState]:
    """All recordings of the job, and how far each is."""
    return [_state(view, queue.progress_of(view.id)) for view in captures_of(shop, number)]


@router.post("", status_code=201, openapi_extra=AS_IT_IS)
async def send(
    request: Request,
    shop: ShopAtHand,
    queue: QueueAtHand,
    number: str,
    stage: Annotated[str, Query()],
    file_name: Annotated[str, Query(max_length=500)],
    disc: Annotated[str, Query(max_length=200)] = "",
    rpm: Annotated[str, Query(max_length=20)] = "",
    chain: Annotated[str, Query(max_length=20)] = "riaa",
    arm_lifted: Annotated[bool, Query()] = False,
    note: Annotated[str, Query(max_length=2000)] = "",
) -> RecordingState:
    """Send one recording as the body. The answer comes when it is safe on the disk; measuring goes on by itself."""
    options = recording_options(disc, rpm, chain, arm_lifted, note)
    body = cast(BinaryIO, SentBody(request))
    view = await run_in_threadpool(take_in, shop, number, stage, file_name, body, options)
    queue.wake()
    return _state(view, await run_in_threadpool(queue.progress_of, view.id))


def _state(view: CaptureView, progress: Progress) -> RecordingState:
    return RecordingState(
        id=view.id,
        stage=view.stage,
        file_name=view.file_name,
        state=progress.state,
        share=progress.share,
        words=progress.words,
    )
