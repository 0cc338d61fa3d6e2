"""Nothing larger than allowed is read, whether the sender tells the size or not."""

from __future__ import annotations

from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from spindlewright.web.refusal import refusal
from spindlewright.web.refused import Refused
from spindlewright.web.security.only_read import ONLY_READ

CARRY_FILES = ("multipart/form-data", "application/octet-stream", "audio/", "image/")


class BodySize:
    """Refuses a body beyond its limit: ``with_file_bytes`` where a file may come, else ``form_bytes``."""

    def __init__(self, app: ASGIApp, form_bytes: int, with_file_bytes: int) -> None:
        self.app = app
        self.form_bytes = form_bytes
        self.with_file_bytes = with_file_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] in ONLY_READ:
            await self.app(scope, receive, send)
            return
        headers = Request(scope).headers
        has_file = headers.get("content-type", "").casefold().startswith(CARRY_FILES)
        limit = self.with_file_bytes if has_file else self.form_bytes
        told = headers.get("content-length", "0")
        if not told.isdecimal() or int(told) > limit:
            answer = refusal(Request(scope), 413, _too_large(limit))
            answer.headers["Connection"] = "close"
            await answer(scope, receive, send)
            return
        seen = 0
        answered = False

        async def counted_receive() -> Message:
            nonlocal seen
            message = await receive()
            seen += len(message.get("body", b""))
            if seen > limit:
                raise Refused(413, _too_large(limit))
            return message

        async def send_or_refuse(message: Message) -> None:
            # whatever was made of the refusal further in, the answer is this one
            nonlocal answered
            if seen <= limit:
                await send(message)
            elif not answered:
                answered = True
                await refusal(Request(scope), 413, _too_large(limit))(scope, receive, send)

        await self.app(scope, counted_receive, send_or_refuse)


def _too_large(limit: int) -> str:
    size = f"{limit / 1024**3:.0f} GB" if limit >= 1024**3 else f"{limit / 1024**2:.0f} MB"
    return f"What was sent is larger than {size}, the most that is taken here. Send a shorter recording or less text."
