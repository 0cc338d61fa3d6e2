"""The whole table of cautions on one page, to read or to hang up."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from spindlewright.standards.cautions import TAGS, all_cautions
from spindlewright.web.rendering import page

router = APIRouter()


@router.get("/cautions")
def show(request: Request) -> Response:
    """Every caution under its first tag."""
    by_tag = {tag: [one for one in all_cautions() if one.tags[0] == tag] for tag in TAGS}
    return page(request, "cautions", by_tag={tag: found for tag, found in by_tag.items() if found})
