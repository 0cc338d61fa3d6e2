"""Files kept by their content: named by their SHA-256, written whole or not at all, never changed."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from spindlewright.shop.errors import NotAccepted, NotFound, ShopError

PIECE_BYTES = 1 << 20
LEFT_BEHIND_S = 24 * 3600.0
"""Unfinished files older than this were left by a program that was stopped, and are taken away."""


@dataclass(frozen=True, slots=True)
class Stored:
    """A file in the store."""

    sha256: str
    size_bytes: int
    path: Path


class FileStore:
    """The folder of kept files. ``put`` returns only when the bytes are on the disk under their name."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._incoming = folder / "incoming"
        self._incoming.mkdir(parents=True, exist_ok=True)
        self._sweep()

    def put(self, stream: BinaryIO, limit_bytes: int | None = None) -> Stored:
        """Keep what ``stream`` gives. NotAccepted when it is empty or longer than ``limit_bytes``; ShopError when the
        disk is full; nothing stays behind then."""
        digest, size = hashlib.sha256(), 0
        handle, name = tempfile.mkstemp(dir=self._incoming)
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                while piece := stream.read(PIECE_BYTES):
                    size += len(piece)
                    if limit_bytes is not None and size > limit_bytes:
                        raise NotAccepted(
                            "file",
                            f"more than {_size(limit_bytes)}",
                            f"up to {_size(limit_bytes)}",
                            "send a shorter one",
                        )
                    digest.update(piece)
                    file.write(piece)
                if size == 0:
                    raise NotAccepted("file", "no bytes", "a file with something in it", "copy it again")
                file.flush()
                os.fsync(file.fileno())
            stored = Stored(digest.hexdigest(), size, self._place(digest.hexdigest()))
            stored.path.parent.mkdir(exist_ok=True)
            os.replace(temporary, stored.path)
            _sync_folder(stored.path.parent)
            _sync_folder(self.folder)
            return stored
        except OSError as problem:
            raise ShopError(
                f"The file could not be kept: {problem.strerror or problem}. "
                "Make room on the disk, then send it again."
            ) from problem
        finally:
            temporary.unlink(missing_ok=True)

    def path_of(self, sha256: str) -> Path:
        """Where the file with this hash lies. NotFound when it does not."""
        path = self._place(sha256)
        if not path.is_file():
            raise NotFound(f"The kept file {sha256[:12]}… is not in {self.folder.name}. Put it back from a backup.")
        return path

    def _place(self, sha256: str) -> Path:
        return self.folder / sha256[:2] / sha256

    def _sweep(self) -> None:
        oldest = time.time() - LEFT_BEHIND_S
        for left in self._incoming.iterdir():
            with contextlib.suppress(OSError):
                if left.stat().st_mtime < oldest:
                    left.unlink()


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":  # elsewhere a folder cannot be opened; the rename itself is journalled
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _size(size_bytes: int) -> str:
    return f"{size_bytes / 1e9:.3g} GB" if size_bytes >= 1e9 else f"{size_bytes / 1e6:.3g} MB"
