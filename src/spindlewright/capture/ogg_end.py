"""How an Ogg file ends: its last page says how much sound there should be, and that it is the last.

Page layout (RFC 3533, from memory; checked in the tests against files that libsndfile writes): ``OggS``, version,
flags (4: last page), position of the sound after this page as a 64-bit number.
"""

from __future__ import annotations

import os
import struct
from dataclasses import dataclass

LARGEST_PAGE = 27 + 255 + 255 * 255
LAST_PAGE_FLAG = 4
OPUS_RATE_HZ = 48000
"""Positions in Opus streams always count at 48 kHz (RFC 7845, from memory)."""


@dataclass(frozen=True, slots=True)
class OggEnd:
    """``frames`` up to the end of the last page found; ``finished`` when that page carries the end mark."""

    frames: int
    finished: bool


def ogg_end(path: str, rate_hz: int) -> OggEnd | None:
    """What the last page of the Ogg file says, None when there is no whole page to be found."""
    try:
        with open(path, "rb") as file:
            first = file.read(4096)
            file.seek(max(0, os.path.getsize(path) - 2 * LARGEST_PAGE))
            tail = file.read()
    except OSError:
        return None
    at = tail.rfind(b"OggS")
    if at < 0 or at + 14 > len(tail):
        return None
    flags, position = struct.unpack("<Bq", tail[at + 5 : at + 14])
    if position < 0:
        return None
    head = first.find(b"OpusHead")
    if head >= 0:
        (skipped,) = struct.unpack("<H", first[head + 10 : head + 12])
        position = round(max(0, position - skipped) * rate_hz / OPUS_RATE_HZ)
    return OggEnd(position, bool(flags & LAST_PAGE_FLAG))
