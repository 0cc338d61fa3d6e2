"""Progress of long work as a thin bar on standard error, only when a person is looking at it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

SILENT_FOR_S = 0.5
"""Work that is done within this time shows no bar."""

PLAIN = {"progress.remaining": "dim", "progress.elapsed": "dim", "progress.percentage": "default"}


@contextmanager
def progress_bar(name: str) -> Iterator[Callable[[float, str], None] | None]:
    """Gives a function to call with the share done (0 to 1) and what is being done; None when nobody looks."""
    if not sys.stderr.isatty():
        yield None
        return
    import time

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn
    from rich.theme import Theme

    from spindlewright.cli.paper import ACCENT

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=24, complete_style=ACCENT, finished_style=ACCENT),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
    )
    started = time.monotonic()
    bar = Progress(*columns, console=Console(stderr=True, theme=Theme(PLAIN)), transient=True)
    task = bar.add_task(name, total=1.0)

    def report(share: float, words: str) -> None:
        if not bar.live.is_started and time.monotonic() - started > SILENT_FOR_S:
            bar.start()
        bar.update(task, completed=share, description=f"{name}: {words}")

    try:
        yield report
    finally:
        bar.stop()
