"""SHA-256 of a file, worked out in a thread of its own while the same file is being decoded."""

from __future__ import annotations

import hashlib
import threading

CHUNK_BYTES = 1 << 20


class BackgroundHash:
    """Starts at once; ``hexdigest()`` waits for the end, ``stop()`` gives up.

    The decoder reads the same bytes at the same time, so they come from the disk once. Both hashing and reading
    leave the interpreter's lock alone.
    """

    def __init__(self, path: str) -> None:
        self._path = path
        self._stopped = threading.Event()
        self._digest: str | None = None
        self._problem: OSError | None = None
        self._thread = threading.Thread(target=self._run, name="capture-hash", daemon=True)
        self._thread.start()

    def _run(self) -> None:
        total = hashlib.sha256()
        chunk = memoryview(bytearray(CHUNK_BYTES))
        try:
            with open(self._path, "rb", buffering=0) as file:
                while not self._stopped.is_set():
                    count = file.readinto(chunk)
                    if not count:
                        self._digest = total.hexdigest()
                        return
                    total.update(chunk[:count])
        except OSError as problem:
            self._problem = problem

    def hexdigest(self) -> str:
        """64 hexadecimal digits. OSError when the file could not be read to its end."""
        self._thread.join()
        if self._digest is None:
            raise self._problem or OSError(f"hashing of {self._path} was stopped")
        return self._digest

    def stop(self) -> None:
        """End the thread; a digest that is not ready is given up."""
        self._stopped.set()
        self._thread.join()
