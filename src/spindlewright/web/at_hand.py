"""What a route may ask for by its parameters: the shop, the queue of measurings, the watched folder.

@router.get("/jobs/{number}")
def show(request: Request, shop: ShopAtHand, number: str) -> Response: ...
"""

from __future__ import annotations

from typing import Annotated, cast

from fastapi import Depends
from starlette.requests import Request

from spindlewright.shop.measuring import MeasuringQueue
from spindlewright.shop.store import Shop
from spindlewright.shop.watched_folder import FolderWatcher
from spindlewright.web.demonstration import DemonstrationBench


def _shop(request: Request) -> Shop:
    return cast(Shop, request.app.state.shop)


def _queue(request: Request) -> MeasuringQueue:
    return cast(MeasuringQueue, request.app.state.queue)


def _watcher(request: Request) -> FolderWatcher:
    return cast(FolderWatcher, request.app.state.watcher)


def _demonstration(request: Request) -> DemonstrationBench | None:
    return cast(DemonstrationBench | None, request.app.state.demonstration)


ShopAtHand = Annotated[Shop, Depends(_shop)]
QueueAtHand = Annotated[MeasuringQueue, Depends(_queue)]
WatcherAtHand = Annotated[FolderWatcher, Depends(_watcher)]
DemonstrationAtHand = Annotated[DemonstrationBench | None, Depends(_demonstration)]
"""None where none is offered: in the demonstration itself."""
