"""The measuring queue: recordings measured in the background, one process each, taken up again after a stop.

queue = MeasuringQueue(shop)
queue.start()
...
queue.progress_of(capture_id)
queue.stop()
"""

from __future__ import annotations

import itertools
import json
import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

from spindlewright.shop.errors import NotAccepted, ShopError
from spindlewright.shop.measuring_claims import LEASE_S, MOST_ATTEMPTS, claim_next, give_back, my_name, renew
from spindlewright.shop.recordings import capture_of, measured, not_measured
from spindlewright.shop.store import Shop
from spindlewright.shop.views.recordings import Progress

LOOK_EVERY_S = 1.0
"""How often the queue looks for recordings that came from another program."""
LONGEST_MEASURING_S = 3600.0
KEPT = "The recording is kept; measure it again, or with a newer Spindlewright."

_serial = itertools.count(1)


class MeasuringQueue:
    """Measures every recording that waits, ``workers`` at a time. ``start`` takes up what was unfinished."""

    def __init__(self, shop: Shop, workers: int = 1) -> None:
        self._shop = shop
        self._workers = workers
        self._threads: list[threading.Thread] = []
        self._stopping = threading.Event()
        self._wake = threading.Condition()
        self._progress: dict[int, tuple[float, str]] = {}
        self._children: set[subprocess.Popen[str]] = set()
        self._busy = 0

    def start(self) -> None:
        """Begin, or do nothing when it has begun."""
        if self._threads:
            return
        self._stopping.clear()
        for _ in range(self._workers):
            thread = threading.Thread(target=self._work, args=(my_name(next(_serial)),), daemon=True)
            self._threads.append(thread)
            thread.start()

    def wake(self) -> None:
        """Look for recordings now (``take_in`` does not know the queue)."""
        with self._wake:
            self._wake.notify_all()

    def stop(self) -> None:
        """End; what was being measured waits again, and is taken up at the next start."""
        self._stopping.set()
        self.wake()
        with self._wake:
            for child in self._children:
                child.kill()
        for thread in self._threads:
            thread.join()
        self._threads.clear()

    def wait_until_idle(self, timeout_s: float = 300.0) -> bool:
        """Wait until nothing is left to measure; False when ``timeout_s`` passed first."""
        end = time.monotonic() + timeout_s
        while time.monotonic() < end:
            if not self._busy and not self._any_waiting():
                return True
            self.wake()
            time.sleep(0.05)
        return False

    def progress_of(self, capture_id: int) -> Progress:
        """How far one recording is; survives a reload of the page, and a restart."""
        view = capture_of(self._shop, capture_id)
        waits = "being measured" if view.state == "measuring" else "waiting to be measured"
        share, words = self._progress.get(capture_id, (0.0, waits))
        if view.state == "measured":
            share, words = 1.0, "measured"
        elif view.state == "failed":
            share, words = 1.0, view.problem
        return Progress(capture_id, view.state, share, words)

    def _any_waiting(self) -> bool:
        from sqlalchemy import select

        from spindlewright.shop.tables.recordings import Capture

        with self._shop.reading() as session:
            wanted = select(Capture.id).where(Capture.state.in_(("stored", "measuring"))).limit(1)
            return session.scalar(wanted) is not None

    def _work(self, me: str) -> None:
        while not self._stopping.is_set():
            try:
                worked = self._one(me)
            except ShopError:  # the records can't be reached now; try again
                worked = False
            if not worked:
                with self._wake:
                    if not self._stopping.is_set():
                        self._wake.wait(LOOK_EVERY_S)

    def _one(self, me: str) -> bool:
        self._busy += 1
        try:
            claimed = claim_next(self._shop, me)
            if claimed is None:
                return False
            capture_id, attempt, spec = claimed
            if isinstance(spec, NotAccepted):
                not_measured(self._shop, capture_id, str(spec))
                return True
            self._measure(me, capture_id, attempt, spec)
            return True
        finally:
            self._busy -= 1

    def _measure(self, me: str, capture_id: int, attempt: int, spec: dict[str, Any]) -> None:
        answer = self._run_child(me, capture_id, spec)
        name = spec["file_name"]
        if answer is None and (self._stopping.is_set() or attempt < MOST_ATTEMPTS):
            give_back(self._shop, capture_id, me, counts=not self._stopping.is_set())
        elif answer is None:
            not_measured(
                self._shop,
                capture_id,
                f"{name}: measuring it stopped {attempt} times without an answer. "
                "The recording is kept; record it again, as WAV or FLAC.",
            )
        elif "failed" in answer:
            not_measured(self._shop, capture_id, answer["failed"])
        else:
            self._keep(capture_id, name, answer["measurement"])
        self._progress.pop(capture_id, None)

    def _keep(self, capture_id: int, name: str, json_object: dict[str, Any]) -> None:
        try:
            measured(self._shop, capture_id, json_object)
        except ShopError:
            raise
        except Exception as problem:  # a fault of this program must not stop the queue
            not_measured(self._shop, capture_id, f"{name}: its readings could not be kept ({problem!r}). {KEPT}")

    def _run_child(self, me: str, capture_id: int, spec: dict[str, Any]) -> dict[str, Any] | None:
        """The child's answer, None when it ended without one."""
        child = _start_child()
        with self._wake:
            self._children.add(child)
            if self._stopping.is_set():
                child.kill()
        guard = threading.Timer(LONGEST_MEASURING_S, child.kill)
        guard.daemon = True
        guard.start()
        renewed_s = time.monotonic()
        answer = None
        try:
            assert child.stdin is not None
            assert child.stdout is not None
            child.stdin.write(json.dumps(spec) + "\n")
            child.stdin.flush()
            for line in child.stdout:
                told = json.loads(line)
                if "share" not in told:
                    answer = told
                    break
                self._progress[capture_id] = (told["share"], told["words"])
                if time.monotonic() - renewed_s > LEASE_S / 3.0:
                    renew(self._shop, capture_id, me)
                    renewed_s = time.monotonic()
        except (OSError, ValueError):
            answer = None
        finally:
            guard.cancel()
            with self._wake:
                self._children.discard(child)
            child.kill()
            child.communicate()
        return answer


def _start_child() -> subprocess.Popen[str]:
    source = str(Path(__file__).parents[2])
    paths = [source, *filter(None, os.environ.get("PYTHONPATH", "").split(os.pathsep))]
    return subprocess.Popen(
        [sys.executable, "-m", "spindlewright.shop.measuring_child"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
    )
