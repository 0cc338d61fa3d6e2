"""A watched folder, joined to a job and stage: what a recorder writes there is taken in by itself.

A file is taken in once it has been quiet for 2 s, and stays where it is. What lay there before the folder was joined
is left alone. The join is kept with the records, so that it survives a restart; each bench has its own.
"""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from spindlewright.capture.errors import printable_name as printable
from spindlewright.shop import accepted
from spindlewright.shop.as_views import options_of
from spindlewright.shop.errors import NotAccepted, ShopError
from spindlewright.shop.recordings import RECORDED_STAGES, checked_options, take_in
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import open_job
from spindlewright.shop.tables.jobs import Job
from spindlewright.shop.tables.settings import WatchedFolderRow
from spindlewright.shop.views.recordings import CaptureOptions, CaptureView, WatchView

QUIET_S = 2.0
LOOK_EVERY_S = 0.5
ENDINGS = (".wav", ".flac", ".aif", ".aiff", ".ogg", ".opus", ".mp3", ".w64", ".rf64", ".caf")
REMARKS_KEPT = 20


def join_folder(
    shop: Shop, folder: str | Path, number: str, stage: str, options: CaptureOptions | None = None
) -> WatchView:
    """Watch ``folder`` for this bench and take what comes into this job and stage. Joins anew when already joined."""
    try:
        path = Path(folder).expanduser()
        there = path.is_dir()
    except (RuntimeError, ValueError, OSError):  # no such user, signs no path can have, too long
        path, there = Path(folder), False
    if not there:
        raise NotAccepted(
            "watched folder", printable(str(path)), "a folder that is there", "make it, or choose another"
        )
    path = path.resolve()
    if path == shop.folder.resolve() or shop.folder.resolve() in path.parents:
        raise NotAccepted("watched folder", "the shop's own data", "a folder outside of it", "choose another")
    accepted.choice("stage", stage, RECORDED_STAGES)
    with shop.writing() as session:
        job = open_job(session, number)
        made = checked_options(shop, options or CaptureOptions(), job)
        session.merge(
            WatchedFolderRow(
                bench=this_bench(),
                folder=str(path),
                job_id=job.id,
                stage=stage,
                options=asdict(made),
                known={name: list(state) for name, state in _files(path).items()},
                joined_at=shop.now(),
            )
        )
    joined = watched(shop)
    assert joined is not None
    return joined


def leave_folder(shop: Shop) -> None:
    """Watch no folder any more."""
    with shop.writing() as session:
        row = session.get(WatchedFolderRow, this_bench())
        if row is not None:
            session.delete(row)


def watched(shop: Shop) -> WatchView | None:
    """The folder this bench watches, None when it watches none."""
    with shop.reading() as session:
        row = session.get(WatchedFolderRow, this_bench())
        if row is None:
            return None
        number = session.get_one(Job, row.job_id).number
        return WatchView(row.folder, number, row.stage, options_of(row.options), row.joined_at)  # type: ignore[arg-type]


def this_bench() -> str:
    """The name of this computer."""
    return socket.gethostname()


@dataclass(slots=True)
class _Seen:
    state: tuple[int, int]
    since_s: float


class FolderWatcher:
    """Looks into the watched folder in the background; ``on_taken`` is told of each recording (to wake the queue)."""

    def __init__(
        self,
        shop: Shop,
        on_taken: Callable[[CaptureView], None] | None = None,
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        self._shop = shop
        self._on_taken = on_taken
        self._clock_s = clock_s
        self._stopping = threading.Event()
        self._thread: threading.Thread | None = None
        self._seen: dict[str, _Seen] = {}
        self._remarks: list[str] = []
        self._folder = ""

    def start(self) -> None:
        """Begin to look."""
        if self._thread is None:
            self._stopping.clear()
            self._thread = threading.Thread(target=self._work, daemon=True)
            self._thread.start()

    def stop(self) -> None:
        """Look no more."""
        self._stopping.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def state(self) -> WatchView | None:
        """What is watched, with the newest remarks."""
        view = watched(self._shop)
        if view is None:
            return None
        return WatchView(
            view.folder, view.job_number, view.stage, view.options, view.joined_at, tuple(reversed(self._remarks))
        )

    def look(self) -> tuple[CaptureView, ...]:
        """Look once: take in what has been quiet long enough."""
        with self._shop.reading() as session:
            row = session.get(WatchedFolderRow, this_bench())
            if row is None:
                return ()
            job_number = session.get_one(Job, row.job_id).number
            folder, known = Path(row.folder), {name: tuple(state) for name, state in row.known.items()}
            stage, options = row.stage, options_of(row.options)
        if self._folder != str(folder):
            self._folder, self._seen = str(folder), {}
        taken = []
        for name, state in _files(folder).items():
            if known.get(name) == state:
                continue
            now_s = self._clock_s()
            seen = self._seen.setdefault(name, _Seen(state, now_s))
            if seen.state != state:
                self._seen[name] = _Seen(state, now_s)
            elif now_s - seen.since_s >= QUIET_S:
                view = self._take(job_number, stage, folder / name, options)
                self._remember(name, state)
                if view is not None:
                    taken.append(view)
        return tuple(taken)

    def _take(self, number: str, stage: str, file: Path, options: CaptureOptions) -> CaptureView | None:
        try:
            with file.open("rb") as stream:
                view = take_in(self._shop, number, stage, file.name, stream, options)
        except OSError as problem:
            self._remark(f"{file.name}: could not be read ({problem.strerror or problem}).")
            return None
        except ShopError as problem:
            self._remark(f"{file.name}: not taken in. {problem}")
            return None
        self._remark(f"{file.name}: taken in.")
        if self._on_taken is not None:
            self._on_taken(view)
        return view

    def _remember(self, name: str, state: tuple[int, int]) -> None:
        """This file, as it is, has been dealt with."""
        self._seen.pop(name, None)
        with self._shop.writing() as session:
            row = session.get(WatchedFolderRow, this_bench())
            if row is not None:
                row.known = {**row.known, name: list(state)}

    def _remark(self, words: str) -> None:
        self._remarks = [*self._remarks, words][-REMARKS_KEPT:]

    def _work(self) -> None:
        while not self._stopping.wait(LOOK_EVERY_S):
            try:
                self.look()
            except (ShopError, OSError) as problem:
                self._remark(str(problem))


def _files(folder: Path) -> dict[str, tuple[int, int]]:
    """Recordings in the folder, by name: size in bytes and time of the last change."""
    found = {}
    with contextlib.suppress(OSError):
        for file in sorted(folder.iterdir()):
            if file.suffix.lower() in ENDINGS and not file.name.startswith("."):
                with contextlib.suppress(OSError):
                    state = file.stat()
                    if file.is_file() and state.st_size > 0:
                        found[file.name] = (state.st_size, state.st_mtime_ns)
    return found
