"""A change is only taken from our own pages, or from a program that is no browser.

Browsers say where a request comes from (``Origin``, ``Sec-Fetch-Site``); a program that is none sends neither.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from spindlewright.web.refusal import refusal
from spindlewright.web.security.only_read import ONLY_READ

FOREIGN = (
    "This was asked by a page from another address, so nothing was changed. Open the bench's own page and do it there."
)


class OwnPagesOnly:
    """Refuses changes that a foreign page asks for."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["method"] not in ONLY_READ and is_foreign(Request(scope)):
            answer = refusal(Request(scope), 403, FOREIGN)
            await answer(scope, receive, send)
            return
        await self.app(scope, receive, send)


def is_foreign(request: Request) -> bool:
    """Whether the browser says that another site's page asks."""
    if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return True
    origin = request.headers.get("origin")
    return origin is not None and origin != f"{request.url.scheme}://{request.headers.get('host', '')}"
