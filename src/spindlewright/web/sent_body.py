"""The body of a request as a file to read from, while it is still coming in: nothing long is held or kept twice."""

from __future__ import annotations

import io
from collections.abc import AsyncIterator

from anyio import from_thread
from starlette.requests import Request


class SentBody(io.RawIOBase):
    """Read it in a worker thread (``run_in_threadpool``); each read waits for the bytes that come next."""

    def __init__(self, request: Request) -> None:
        super().__init__()
        self._pieces: AsyncIterator[bytes] = request.stream().__aiter__()
        self._left = b""

    def readable(self) -> bool:
        return True

    def read(self, size: int = -1) -> bytes:
        while not self._left:
            piece = from_thread.run(self._next)
            if piece is None:
                return b""
            self._left = piece
        end = len(self._left) if size is None or size < 0 else size
        part, self._left = self._left[:end], self._left[end:]
        return part

    async def _next(self) -> bytes | None:
        return await anext(self._pieces, None)
