"""``spindlewright demo``: the demonstration shop."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from spindlewright.cli.options import Json
from spindlewright.cli.progress import progress_bar
from spindlewright.cli.shop_access import json_line

if TYPE_CHECKING:
    from spindlewright.demo.made import Demonstration


def demo(
    *,
    data: Annotated[
        Path | None, Parameter(help="New or empty folder for it (default: one beside your user data folder).")
    ] = None,
    json: Json = False,
) -> int:
    """Make the demonstration shop: three simulated decks, one finished, one on the bench, one just arrived."""
    folder = data if data is not None else default_folder()
    from spindlewright.demo.made import made_already

    started = time.monotonic()
    made = made_already(folder) or _make(folder)
    if json:
        sys.stdout.write(json_line({"folder": str(made.folder), "jobs": made.numbers, "made_now": made.made_now}))
        return 0
    if made.made_now:
        seconds = time.monotonic() - started
        print(f"Made the demonstration shop, jobs {', '.join(made.numbers)}, in {seconds:.0f} s.")
    else:
        print("The demonstration shop is there already; it was left as it is.")
    print(f"To open it: spindlewright serve --data {folder}")
    return 0


def _make(folder: Path) -> Demonstration:
    from spindlewright.demo.shop import make_demo

    with _told("The demonstration shop") as progress:
        return make_demo(folder, progress)


def default_folder() -> Path:
    """Where the demonstration lies when no folder is named: not in this user's own shop."""
    from platformdirs import user_data_path

    return user_data_path("spindlewright-demonstration", appauthor=False)


@contextmanager
def _told(name: str) -> Iterator[Callable[[float, str], None]]:
    """Progress as a bar when a person looks at it, else as lines on standard error."""
    with progress_bar(name) as bar:
        yield (
            bar
            if bar is not None
            else lambda share, words: print(f"{name}: {100.0 * share:3.0f} %, {words}", file=sys.stderr, flush=True)
        )
