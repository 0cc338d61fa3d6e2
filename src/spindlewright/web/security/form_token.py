"""Each form carries the token that its browser keeps in a cookie; a foreign page can send neither.

``form_token_checked`` is a dependency of the whole app, so no route can forget it. What is not sent as a form must say
so (JSON, a recording as it is): a foreign page can't send those without asking first, and it is never told yes.
"""

from __future__ import annotations

import secrets

from starlette.requests import Request
from starlette.responses import Response

from spindlewright.web.refused import Refused
from spindlewright.web.security.only_read import ONLY_READ

COOKIE = "spindlewright-token"
FIELD = "token"
"""Name of the hidden field: ``{{ token_field() }}`` in a form."""
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
NOT_FROM_A_FORM = ("application/json", "application/octet-stream", "audio/", "image/")
STALE = (
    "This form was not opened in this browser, or its cookie is gone, so nothing was changed. "
    "Go back, load the page again, and send it once more."
)


def token_of(request: Request) -> str:
    """The browser's token: the one it keeps, else a new one (``keep_token`` gives it to the browser)."""
    kept = request.cookies.get(COOKIE, "")
    if not hasattr(request.state, "form_token"):
        request.state.form_token = kept if len(kept) >= 32 else secrets.token_urlsafe(32)
    return str(request.state.form_token)


def keep_token(request: Request, response: Response) -> None:
    """Give the browser its token, when it has none."""
    token = token_of(request)
    if request.cookies.get(COOKIE) != token:
        secure = request.url.scheme == "https"
        response.set_cookie(COOKIE, token, httponly=True, samesite="strict", secure=secure, path="/")


async def form_token_checked(request: Request) -> None:
    """Refuses a form without its token. The form is kept for the page that may have to show it again."""
    if request.method in ONLY_READ:
        return
    kind = request.headers.get("content-type", "").partition(";")[0].strip().casefold()
    if kind in FORMS:
        form = await request.form()
        request.state.typed = form
        kept, sent = request.cookies.get(COOKIE, ""), form.get(FIELD)
        if not (isinstance(sent, str) and len(kept) >= 32 and secrets.compare_digest(kept.encode(), sent.encode())):
            raise Refused(403, STALE)
    elif not kind.startswith(NOT_FROM_A_FORM) and request.headers.get("content-length") != "0":
        raise Refused(
            415,
            f"Content-Type: found {kind or 'none'!r}, allowed are a form, application/json, or a recording as "
            "application/octet-stream.",
        )
