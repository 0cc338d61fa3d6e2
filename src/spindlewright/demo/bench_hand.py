"""The technician of the demonstration: everything goes through the same services as at a real bench."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from types import TracebackType

from spindlewright.demo.clock import StagedClock
from spindlewright.demo.units import unit_spec
from spindlewright.demo.wave_file import write_wave_file
from spindlewright.shop.errors import ShopError
from spindlewright.shop.functions import check_function
from spindlewright.shop.gates import GATES, answer_gate
from spindlewright.shop.measuring import MeasuringQueue
from spindlewright.shop.recordings import take_in
from spindlewright.shop.store import Shop
from spindlewright.shop.views.recordings import CaptureOptions

Take = tuple[str, int]
"""A unit as it is described, and which take of it."""
LOOK_EVERY_S = 0.2


class BenchHand:
    """Works through the scenario. Recordings are rendered ahead in the order of ``takes`` while others are measured.

    ``done`` is told the name of each recording when it has been measured.
    """

    def __init__(self, shop: Shop, clock: StagedClock, takes: tuple[Take, ...], done: Callable[[str], None]) -> None:
        self.shop, self.clock = shop, clock
        self._done = done
        self._folder = tempfile.TemporaryDirectory(prefix="spindlewright-demonstration-")
        self._pool = ThreadPoolExecutor(1)
        self._rendered: dict[Take, Future[Path]] = {take: self._pool.submit(self._render, take) for take in takes}
        self._queue = MeasuringQueue(shop, workers=2)

    def __enter__(self) -> BenchHand:
        self._queue.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._pool.shutdown(cancel_futures=True)
        self._queue.stop()
        self._folder.cleanup()

    def _render(self, take: Take) -> Path:
        out = Path(self._folder.name) / f"{take[0]}-{take[1]}.wav"
        write_wave_file(unit_spec(*take), out)
        return out

    def gates(self, number: str, unlike: Mapping[tuple[str, str], tuple[str, str]] | None = None) -> None:
        """Answer all gates with yes (turned by hand: smooth) but for those in ``unlike``, given as answer and note."""
        for gate in GATES:
            for question in gate.questions:
                usual = ("yes" if "yes" in question.answers else question.answers[0], "")
                answer, note = (unlike or {}).get((gate.key, question.key), usual)
                answer_gate(self.shop, number, gate.key, question.key, answer, note)

    def functions(self, number: str, stage: str, answers: Mapping[str, tuple[str, str]]) -> None:
        """Try the functions: key, answer, note."""
        for function, (answer, note) in answers.items():
            check_function(self.shop, number, stage, function, answer, note)

    def record(self, number: str, stage: str, takes: Mapping[str, Take], options: CaptureOptions) -> None:
        """Take in recordings, given by file name, and wait until all are measured."""
        views = []
        for file_name, take in takes.items():
            with self._rendered[take].result().open("rb") as stream:
                views.append(take_in(self.shop, number, stage, file_name, stream, options))
            self._queue.wake()
        for view in views:
            while (now := self._queue.progress_of(view.id)).state in ("stored", "measuring"):
                time.sleep(LOOK_EVERY_S)
            if now.state != "measured":
                raise ShopError(f"{view.file_name} could not be measured: {now.words}")
            self._done(view.file_name)
