"""Uncompressed frames of 16 or 24 bit, unpacked by numpy: the same values as the decoder's, in a quarter of its time.

Whole sides are read twice, and for 24-bit files the decoder took a third of all the time. Only plain little-endian
data are read this way, and only after some of them were found equal to what the decoder gives (``SoundReader``).
"""

from __future__ import annotations

import os

import numpy as np

PACKED_BITS = {"PCM_16": 16, "PCM_24": 24}
"""Word lengths by the decoder's name."""
LITTLE_ENDIAN_MAGIC = (b"RIFF", b"RF64", b"riff")
"""First bytes of containers of little-endian data: WAV, RF64, Wave64."""


class PackedFrames:
    """Frames ``[0, frames)`` that begin at byte ``offset`` of an open file. Does not own ``descriptor``.

    A value is the integer over 2^15 (2^23), as the decoder has it; both are exact in float32.
    """

    def __init__(self, descriptor: int, offset: int, bits: int, channels: int, frames: int) -> None:
        self._descriptor, self._offset, self._frames = descriptor, offset, frames
        self._channels, self._bytes = channels, bits // 8
        self._packed = bytearray()
        self._integers = np.empty(0, np.int32)

    def read(self, position: int, out: np.ndarray) -> int:
        """Frames from ``position`` on, unpacked into ``out`` (n, channels), float32 and contiguous; gives how many."""
        frames = max(0, min(len(out), self._frames - position))
        frame_bytes = self._channels * self._bytes
        wanted = frames * frame_bytes
        if len(self._packed) < 1 + wanted:
            self._packed = bytearray(1 + wanted)
            self._integers = np.empty(frames * self._channels, np.int32)
        with memoryview(self._packed) as room:
            got = self._fill(room[1 : 1 + wanted], self._offset + position * frame_bytes)
        frames = got // frame_bytes
        count = frames * self._channels
        values = out[:frames].reshape(-1)
        if self._bytes == 2:
            words = np.frombuffer(self._packed, "<i2", count, 1)
            np.multiply(words, np.float32(2.0**-15), out=values)
            return frames
        # Four bytes from the one before each sample: that one is masked away, the sample is left in the upper three.
        words = np.ndarray((count,), "<i4", self._packed, 0, (3,))
        integers = np.bitwise_and(words, -256, out=self._integers[:count])
        np.multiply(integers, np.float32(2.0**-31), out=values, casting="unsafe")
        return frames

    def _fill(self, room: memoryview, at: int) -> int:
        done = 0
        while done < len(room):
            got = os.preadv(self._descriptor, [room[done:]], at + done)
            if got == 0:
                break
            done += got
        return done
