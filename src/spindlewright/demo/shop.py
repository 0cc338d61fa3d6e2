"""Making the demonstration shop: whole or not at all, in a folder of its own, once."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from spindlewright.demo import unit_1, unit_2, unit_3
from spindlewright.demo.bench_hand import BenchHand
from spindlewright.demo.clock import StagedClock
from spindlewright.demo.made import Demonstration, made_already, mark_made
from spindlewright.demo.owner import SETTINGS
from spindlewright.demo.units import TEST_DISC, disc_toml
from spindlewright.shop.errors import ShopError
from spindlewright.shop.settings import change_settings
from spindlewright.shop.store import Shop

UNITS = (unit_3, unit_1, unit_2)
TAKES = tuple(take for unit in UNITS for take in unit.TAKES)
Progress = Callable[[float, str], None]


def make_demo(folder: Path, progress: Progress | None = None, *, now: datetime | None = None) -> Demonstration:
    """Make the demonstration shop in ``folder``, which must be new or empty; made already, it is left as it is.

    ``progress`` is told the share done and the recording just measured; ``now`` is when "today" is (aware).
    It is built beside the folder and moved there when whole, so stopping it half-way leaves nothing. Raises
    ShopError with one sentence.
    """
    folder = folder.absolute()
    if (there := made_already(folder)) is not None:
        return there
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise ShopError(
            f"The folder {folder} holds other things already, and the demonstration needs one of its own. Name a new "
            "or empty folder with --data."
        )
    unfinished = folder.with_name(f".{folder.name}.part")
    try:
        shutil.rmtree(unfinished, ignore_errors=True)
        unfinished.mkdir(parents=True)
        numbers = _fill(unfinished, progress or _tell_nobody, now)
        mark_made(unfinished, numbers)
        if folder.exists():
            folder.rmdir()
        os.replace(unfinished, folder)
    except OSError as problem:
        raise ShopError(
            f"The demonstration can't be made in {folder}: {problem.strerror or problem}. Choose another folder with "
            "--data."
        ) from None
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)
    return Demonstration(folder, tuple(numbers), made_now=True)


def _fill(folder: Path, progress: Progress, now: datetime | None) -> list[str]:
    clock = StagedClock(now or datetime.now().astimezone())
    measured = 0

    def done(recording: str) -> None:
        nonlocal measured
        measured += 1
        progress(measured / len(TAKES), f"measured {recording}")

    progress(0.0, "playing the test disc on three simulated decks")
    discs = folder / "discs"
    discs.mkdir()
    (discs / f"{TEST_DISC}.toml").write_text(disc_toml(), encoding="utf-8")
    with Shop.open(folder, clock=clock) as shop:
        change_settings(shop, SETTINGS)
        with BenchHand(shop, clock, TAKES, done) as bench:
            numbers = [unit.fill(bench) for unit in UNITS]
    return numbers


def _tell_nobody(share: float, words: str) -> None:
    """The progress nobody asked for."""
