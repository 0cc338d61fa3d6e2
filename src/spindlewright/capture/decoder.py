"""One reader of one recording: decoded blocks of two columns, made ahead of whoever takes them."""

from __future__ import annotations

import os
import queue
import sys
import threading
from collections.abc import Callable, Iterator
from types import TracebackType

import numpy as np
import soundfile

BLOCKS_AHEAD = 2
"""How many decoded blocks wait for their consumer at most."""
SALVAGE_FRAMES = 256
"""Step in which the last sound before a damaged place is fetched."""

Inspect = Callable[[np.ndarray, int], None]
"""Called with every decoded block, float32 (n, channels), and its first frame; may repair it in place."""
Damaged = Callable[[int, str], None]
"""Called with the frame at which decoding came to an end too soon, and why."""


class SoundReader:
    """An open sound file of its own descriptor, so that several readers never share a position.

    Opened by descriptor where the system allows it: the decoder then judges by content alone, and neither a name's
    ending nor a name such as ``-`` can mislead it.
    """

    def __init__(self, path: str) -> None:
        self._descriptor: int | None = None
        if sys.platform == "win32":
            self.sound = soundfile.SoundFile(path)
            return
        self._descriptor = os.open(path, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK)
        try:
            self.sound = soundfile.SoundFile(self._descriptor, closefd=False)
        except BaseException:
            os.close(self._descriptor)
            raise

    def __enter__(self) -> SoundReader:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        self.sound.close()
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None


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


def decoded(
    reader: SoundReader, frames: int, start: int, stop: int, inspect: Inspect | None, damaged: Damaged
) -> Iterator[np.ndarray]:
    """Blocks float32 (≤ frames, 2) of ``[start, stop)`` in the calling thread."""
    sound = reader.sound
    channels = sound.channels
    pool = BlockPool(frames, 2)
    raw = None if channels == 2 else np.empty((frames, channels), np.float32)
    try:
        if start:
            sound.seek(start)
    except (soundfile.SoundFileError, OSError) as problem:
        damaged(start, _reason(problem))
        return
    position = start
    while position < stop:
        wanted = min(frames, stop - position)
        out = pool.spare()
        target = (out if raw is None else raw)[:wanted]
        count, problem = _read(sound, target, position)
        if inspect is not None and count:
            inspect(target[:count], position)
        if count:
            yield out[:count] if raw is None else two_columns(raw[:count], out)
        position += count
        if count < wanted:
            damaged(position, problem or "the file ends here")
            return


def _read(sound: soundfile.SoundFile, target: np.ndarray, position: int) -> tuple[int, str | None]:
    """Frames read into ``target``; after an error what lies before the damaged place is fetched in small steps."""
    try:
        return len(sound.read(out=target)), None
    except (soundfile.SoundFileError, OSError, RuntimeError) as problem:
        reason = _reason(problem)
    count = 0
    try:
        sound.seek(position)
        while count < len(target):
            got = len(sound.read(out=target[count : count + SALVAGE_FRAMES]))
            count += got
            if got == 0:
                break
    except (soundfile.SoundFileError, OSError, RuntimeError):
        pass
    return count, reason


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
