"""Photos of a stage."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, File, UploadFile
from starlette.responses import FileResponse, Response

from spindlewright.shop.errors import ShopError
from spindlewright.shop.photos import add_photo, photo_of
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.redirects import back_to
from spindlewright.web.refused import Refused
from spindlewright.web.typed import Text

router = APIRouter(prefix="/jobs/{number}")


@router.post("/{stage}/photos")
def add(
    shop: ShopAtHand, number: str, stage: str, files: Annotated[list[UploadFile], File()], words: Text = ""
) -> Response:
    """Keep the photos; what is no picture is told after the others are safe."""
    refused = []
    for file in files:
        try:
            add_photo(shop, number, stage, file.filename or "photo", file.file, words)
        except ShopError as problem:
            refused.append(str(problem))
    if refused:
        raise Refused(422, " ".join(refused))
    return back_to(f"/jobs/{number}", f"{stage}-photos")


@router.get("/photos/{photo_id}")
def show(shop: ShopAtHand, number: str, photo_id: int) -> Response:
    """The picture as it came."""
    view = photo_of(shop, number, photo_id)
    return FileResponse(shop.files.path_of(view.sha256), media_type=view.media_type)
