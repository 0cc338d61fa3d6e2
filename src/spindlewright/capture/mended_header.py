"""A file seen with a few bytes of its header replaced; the file itself stays untouched."""

from __future__ import annotations

import io
from typing import Any


class MendedHeader(io.RawIOBase):
    """Reads ``path`` as if the bytes from ``at`` on were ``mended``."""

    def __init__(self, path: str, at: int, mended: bytes) -> None:
        super().__init__()
        self._file = open(path, "rb", buffering=0)  # noqa: SIM115 - closed in close()
        self._at = at
        self._mended = mended

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        return self._file.seek(offset, whence)

    def tell(self) -> int:
        return self._file.tell()

    def readinto(self, buffer: Any) -> int:
        start = self._file.tell()
        count = self._file.readinto(buffer) or 0
        view = memoryview(buffer).cast("B")
        for place, byte in enumerate(self._mended, self._at):
            if start <= place < start + count:
                view[place - start] = byte
        return count

    def close(self) -> None:
        self._file.close()
        super().close()
