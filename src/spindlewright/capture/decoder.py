"""One reader of one recording: decoded blocks of two columns, made ahead of whoever takes them."""

from __future__ import annotations

import contextlib
import os
import queue
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import TracebackType

import numpy as np
import soundfile

from spindlewright.capture.mended_header import MendedHeader
from spindlewright.capture.packed_frames import LITTLE_ENDIAN_MAGIC, PACKED_BITS, PackedFrames
from spindlewright.capture.quiet_decoder import hush, unhush

BLOCKS_AHEAD = 2
"""How many decoded blocks wait for their consumer at most."""
SALVAGE_FRAMES = 256
"""Step in which the last sound before a damaged place is fetched."""
FIRST_SKIP_FRAMES = 1024
"""First step in which the sound behind a damaged place is looked for; it doubles."""
MOST_BRIDGES = 200
"""A file with more damaged places than this is given up at the last of them."""
PROOF_FRAMES = 512
"""Frames in the middle, at the end and at the start on which the quicker way is held against the decoder."""
FAILURES = (soundfile.SoundFileError, OSError, RuntimeError)

Inspect = Callable[[np.ndarray, int], None]
"""Called with every decoded block, float32 (n, channels), and its first frame; may repair it in place."""


class SoundReader:
    """An open sound file of its own descriptor, so that several readers never share a position.

    Opened by descriptor where the system allows it: the decoder then judges by content alone, and neither a name's
    ending nor a name such as ``-`` can mislead it. ``unfinished_at`` is where the four length bytes of a header stand
    that was never finished: the decoder is shown "unknown" there, and reads to the end of the file. ``data_at`` is the
    byte at which the sound data begin, as far as the header tells.
    """

    def __init__(self, path: str, unfinished_at: int | None = None, data_at: int | None = None) -> None:
        self._descriptor: int | None = None
        self._position = 0
        self._mended: MendedHeader | None = None
        if unfinished_at is not None:
            self._mended = MendedHeader(path, unfinished_at, b"\xff\xff\xff\xff")
        elif sys.platform != "win32":
            self._descriptor = os.open(path, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK)
        source = self._descriptor if self._mended is None else self._mended
        hush()
        try:
            self.sound = soundfile.SoundFile(path if source is None else source, closefd=False)
        except BaseException:
            self._close_source()
            raise
        self._packed = self._packed_frames(data_at)

    def _packed_frames(self, data_at: int | None) -> PackedFrames | None:
        """A quicker way to the same values, proved on some of them; None when there is none."""
        sound, descriptor = self.sound, self._descriptor
        bits = PACKED_BITS.get(sound.subtype)
        if bits is None or data_at is None or descriptor is None or not hasattr(os, "preadv"):
            return None
        if os.pread(descriptor, 4, 0) not in LITTLE_ENDIAN_MAGIC:
            return None
        quick = PackedFrames(descriptor, data_at, bits, sound.channels, sound.frames)
        packed: PackedFrames | None = quick
        seen = np.empty((PROOF_FRAMES, sound.channels), np.float32)
        known = np.empty_like(seen)
        try:
            for at in (sound.frames // 2, sound.frames - PROOF_FRAMES, 0):
                sound.seek(max(0, at))
                count = len(sound.read(out=known))
                if quick.read(max(0, at), seen) != count or not np.array_equal(known[:count], seen[:count]):
                    packed = None
                    break
            sound.seek(0)
        except FAILURES:
            return None
        return packed

    def seek(self, frame: int) -> None:
        """Go to a frame."""
        self._position = frame
        if self._packed is None:
            self.sound.seek(frame)

    def read(self, out: np.ndarray) -> int:
        """The next frames, into ``out`` (n, channels), float32; gives how many."""
        if self._packed is None:
            return len(self.sound.read(out=out))
        count = self._packed.read(self._position, out)
        self._position += count
        return count

    def __enter__(self) -> SoundReader:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the decoder and its descriptor; may be called twice."""
        if self.sound.closed:
            return
        with contextlib.suppress(soundfile.SoundFileError):
            self.sound.close()
        self._close_source()

    def _close_source(self) -> None:
        unhush()
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None
        if self._mended is not None:
            self._mended.close()


class BlockPool:
    """Buffers for decoded blocks, used again once nobody holds the block that was handed out."""

    LARGEST = 8

    def __init__(self, frames: int, columns: int) -> None:
        self._shape = (frames, columns)
        self._buffers: list[np.ndarray] = []

    def spare(self) -> np.ndarray:
        for index in range(len(self._buffers)):
            # Two references: the list's and the argument's. A block still in use holds a third one.
            if sys.getrefcount(self._buffers[index]) == 2:
                return self._buffers[index]
        fresh = np.empty(self._shape, np.float32)
        if len(self._buffers) < self.LARGEST:
            self._buffers.append(fresh)
        return fresh


def two_columns(block: np.ndarray, out: np.ndarray) -> np.ndarray:
    """``block`` (n, channels) as (n, 2) in ``out``: one channel becomes both columns, of several the first two."""
    columns = out[: len(block)]
    columns[:, 0] = block[:, 0]
    columns[:, 1] = block[:, min(1, block.shape[1] - 1)]
    return columns


@dataclass(frozen=True, slots=True)
class Damage:
    """Frames ``[start, stop)`` that could not be decoded, and why; ``stop`` None: nothing came after ``start``."""

    start: int
    stop: int | None
    reason: str


def decoded(
    open_reader: Callable[[], SoundReader],
    frames: int,
    start: int,
    stop: int,
    inspect: Inspect | None,
    damaged: Callable[[Damage], None],
) -> Iterator[np.ndarray]:
    """Blocks float32 (n, 2), n ≤ ``frames``, of ``[start, stop)``, decoded in the calling thread.

    Where the data are damaged, everything before the place is fetched, silence stands for the damaged part, and
    decoding goes on behind it; ``damaged`` is told of it. A block shorter than ``frames`` may then come in the middle.
    """
    reader = open_reader()
    pool = BlockPool(frames, 2)
    channels = reader.sound.channels
    raw = None if channels == 2 else np.empty((frames, channels), np.float32)
    bridges = 0
    try:
        position = start
        problem = _seek(reader, start)
        while position < stop:
            wanted = min(frames, stop - position)
            out = pool.spare()
            target = (out if raw is None else raw)[:wanted]
            count = 0
            if problem is None:
                count, problem = _read(reader, target)
                if problem is not None:
                    reader.close()
                    reader = open_reader()
                    count = _salvage(reader, target, position)
            if count:
                if inspect is not None:
                    inspect(target[:count], position)
                yield out[:count] if raw is None else two_columns(raw[:count], out)
                del out, target
                position += count
            if count == wanted:
                continue
            bridges += 1
            reader.close()
            reader, further = _resume(open_reader, position, stop if bridges <= MOST_BRIDGES else position)
            if further is None or further > position:
                damaged(Damage(position, further, problem or "the data end here"))
            if further is None:
                return
            problem = None
            for first in range(position, further, frames):
                yield np.zeros((min(frames, further - first), 2), np.float32)
            position = further
    finally:
        reader.close()


def _seek(reader: SoundReader, frame: int) -> str | None:
    try:
        if frame:
            reader.seek(frame)
    except FAILURES as problem:
        return _reason(problem)
    return None


def _read(reader: SoundReader, target: np.ndarray) -> tuple[int, str | None]:
    """Frames read into ``target`` (n, channels), or what went wrong."""
    try:
        return reader.read(target), None
    except FAILURES as problem:
        return 0, _reason(problem)


def _salvage(reader: SoundReader, target: np.ndarray, position: int) -> int:
    """Frames from ``position`` on that come before the damage, fetched into ``target`` in small steps."""
    count, problem = 0, _seek(reader, position)
    while problem is None and count < len(target):
        got, problem = _read(reader, target[count : count + SALVAGE_FRAMES])
        count += got
        if got == 0:
            break
    return count


def _resume(open_reader: Callable[[], SoundReader], position: int, stop: int) -> tuple[SoundReader, int | None]:
    """A reader set to the next frame at which decoding works again, looked for in growing steps; None: there is none.

    Each try takes a new reader: a decoder that has met damage does not recover.
    """
    skip = 0
    reader = open_reader()
    probe = np.empty((SALVAGE_FRAMES, reader.sound.channels), np.float32)
    while position + skip < stop:
        at = position + skip
        if _seek(reader, at) is None and _read(reader, probe[: stop - at])[0] and _seek(reader, at) is None:
            return reader, at
        reader.close()
        reader = open_reader()
        skip = max(FIRST_SKIP_FRAMES, 2 * skip)
    return reader, None


def _reason(problem: Exception) -> str:
    text = str(getattr(problem, "error_string", "") or problem).strip().rstrip(".")
    return text or "its data are damaged"


class DecodeAhead:
    """Iterator over ``decoded(...)`` whose blocks are made in a thread, a few before they are asked for.

    Decoding leaves the interpreter's lock alone, so it goes on while the consumer works. ``close()`` ends the thread
    at once; the end of the sound and any error do the same.
    """

    def __init__(self, make: Callable[[], Iterator[np.ndarray]]) -> None:
        self._ready: queue.Queue[np.ndarray | BaseException | None] = queue.Queue(BLOCKS_AHEAD)
        self._closed = threading.Event()
        self._thread = threading.Thread(target=self._run, args=(make,), name="capture-decode", daemon=True)
        self._thread.start()

    def _run(self, make: Callable[[], Iterator[np.ndarray]]) -> None:
        end: BaseException | None = None
        try:
            for block in make():
                self._ready.put(block)
                del block
                if self._closed.is_set():
                    return
        except BaseException as problem:  # handed to the consumer, who raises it
            end = problem
        self._ready.put(end)

    def __iter__(self) -> DecodeAhead:
        return self

    def __next__(self) -> np.ndarray:
        if self._closed.is_set():
            raise StopIteration
        item = self._ready.get()
        if isinstance(item, np.ndarray):
            return item
        self.close()
        if item is None:
            raise StopIteration
        raise item

    def close(self) -> None:
        self._closed.set()
        while self._thread.is_alive():
            try:
                self._ready.get(timeout=0.01)
            except queue.Empty:
                continue
        self._thread.join()
