"""How much sound a file's own header says it holds, before any decoder mends that figure.

Only containers whose data length can be set against the file's size are read here: WAV, RF64, W64, AIFF, AU, CAF.
Layouts of the headers: from memory of the published descriptions; checked in the tests against files that libsndfile
writes, whose length is known.
"""

from __future__ import annotations

import os
import struct
from dataclasses import dataclass
from typing import BinaryIO

UNKNOWN_32 = 0xFFFFFFFF
LARGEST_WALK = 200
"""Chunks looked at before giving up (a sound file has about ten)."""


@dataclass(frozen=True, slots=True)
class DeclaredData:
    """Where the sound data begin, how many bytes the header promises (None: it does not say), how many there are."""

    offset: int
    declared_bytes: int | None
    present_bytes: int
    unfinished_at: int | None = None
    """Where a length of zero stands although sound follows: a WAV file whose recorder was stopped (RIFF only)."""
    unclaimed_bytes: int = 0
    """Bytes behind the declared data that belong to no chunk: the length in the header is too small (RIFF only)."""

    @property
    def share_present(self) -> float:
        """1.0 when everything promised is there; how much of it otherwise."""
        if not self.declared_bytes or self.declared_bytes <= self.present_bytes:
            return 1.0
        return self.present_bytes / self.declared_bytes


def declared_data(path: str) -> DeclaredData | None:
    """What the header of ``path`` says; None for other formats and for headers that make no sense."""
    try:
        size = os.path.getsize(path)
        with open(path, "rb") as file:
            found = _find(file, size)
            if found is None:
                return None
            offset, declared = found
            unfinished = declared is None and size > offset and _is_unfinished_wav(file, offset)
            unclaimed = 0 if declared is None else _unclaimed(file, offset + declared, size)
    except (OSError, struct.error):
        return None
    return DeclaredData(offset, declared, max(0, size - offset), offset - 4 if unfinished else None, unclaimed)


def _is_unfinished_wav(file: BinaryIO, offset: int) -> bool:
    file.seek(0)
    magic = file.read(4)
    file.seek(offset - 4)
    return magic in (b"RIFF", b"RIFX") and file.read(4) == b"\0\0\0\0"


def _unclaimed(file: BinaryIO, end: int, size: int) -> int:
    file.seek(0)
    if file.read(4) not in (b"RIFF", b"RIFX") or end + 8 > size:
        return 0
    for at in (end, end + (end & 1)):
        file.seek(at)
        name, length = struct.unpack("<4sI", file.read(8)) if at + 8 <= size else (b"    ", 0)
        if name.strip(b"\0") == b"" or (all(32 <= letter < 127 for letter in name) and at + length <= size):
            return 0  # another chunk, or padding
    return size - end


def _find(file: BinaryIO, size: int) -> tuple[int, int | None] | None:
    magic = file.read(4)
    if magic in (b"RIFF", b"RIFX", b"RF64"):
        return _riff(file, size, ">" if magic == b"RIFX" else "<")
    if magic == b"FORM":
        return _walk(file, size, 12, ">", b"SSND", skip_in_data=8)
    if magic == b"riff":
        return _wave64(file, size)
    if magic == b"caff":
        return _core_audio(file, size)
    if magic in (b".snd", b"dns."):
        order = ">" if magic == b".snd" else "<"
        offset, length = struct.unpack(order + "II", file.read(8))
        return offset, None if length == UNKNOWN_32 else length
    return None


def _riff(file: BinaryIO, size: int, order: str) -> tuple[int, int | None] | None:
    found = _walk(file, size, 12, order, b"data")
    if found is None or found[1] is not None:
        return found
    file.seek(12)  # RF64: the true length stands in the ds64 chunk
    if file.read(4) == b"ds64":
        _, _, length = struct.unpack("<IQQ", file.read(20))
        return found[0], length or None
    return found


def _walk(
    file: BinaryIO, size: int, at: int, order: str, wanted: bytes, skip_in_data: int = 0
) -> tuple[int, int | None] | None:
    """Offset and length of the chunk ``wanted`` in a list of chunks with 32-bit lengths."""
    for _ in range(LARGEST_WALK):
        if at + 8 > size:
            return None
        file.seek(at)
        name, length = struct.unpack(order + "4sI", file.read(8))
        if name == wanted:
            offset = at + 8 + skip_in_data
            if _is_placeholder(length) and abs(offset + length - skip_in_data - size) > 1:
                return offset, None
            return offset, length - skip_in_data
        at += 8 + length + (length & 1)
    return None


def _is_placeholder(length: int) -> bool:
    """Lengths that recorders write before they know the true one (common practice)."""
    return length == 0 or length >= 0xFFFF0000 or 0x7FFFF000 <= length <= 0x80000000


def _wave64(file: BinaryIO, size: int) -> tuple[int, int | None] | None:
    at = 40
    for _ in range(LARGEST_WALK):
        if at + 24 > size:
            return None
        file.seek(at)
        name, length = struct.unpack("<16sQ", file.read(24))
        if name.startswith(b"data"):
            return at + 24, length - 24 if length > 24 else None
        at += max(24, (length + 7) & ~7)
    return None


def _core_audio(file: BinaryIO, size: int) -> tuple[int, int | None] | None:
    at = 8
    for _ in range(LARGEST_WALK):
        if at + 12 > size:
            return None
        file.seek(at)
        name, length = struct.unpack(">4sq", file.read(12))
        if name == b"data":
            return at + 16, length - 4 if length > 0 else None
        at += 12 + max(0, length)
    return None
