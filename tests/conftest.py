"""What several rooms' tests use: the demonstration shop, made once for a whole run, whichever worker asks."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

LONGEST_WAIT_S = 300.0


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the demonstration shop. To look at only; for changes take ``own_demo_folder``."""
    base = tmp_path_factory.getbasetemp()
    if os.environ.get("PYTEST_XDIST_WORKER"):
        base = base.parent  # the workers of one run share it
    folder, being_made = base / "demonstration", base / "demonstration.being-made"
    end = time.monotonic() + LONGEST_WAIT_S
    while not (folder / "demonstration.json").exists():
        try:
            being_made.mkdir()
        except FileExistsError:
            assert time.monotonic() < end, "another worker did not finish the demonstration shop"
            time.sleep(0.2)
            continue
        from spindlewright.demo.shop import make_demo

        try:
            make_demo(folder)
        finally:
            being_made.rmdir()
    return folder


@pytest.fixture
def own_demo_folder(demo_folder: Path, tmp_path: Path) -> Iterator[Path]:
    """A copy of the demonstration shop that a test may change; recordings are shared, not copied."""
    own = tmp_path / "demonstration"
    shutil.copytree(demo_folder, own, copy_function=_linked)
    yield own
    shutil.rmtree(own, ignore_errors=True)


def _linked(source: str, target: str) -> None:
    """Recordings are never written to, so a link is a copy; records are copied."""
    if "sqlite" in Path(source).name:
        shutil.copy2(source, target)
    else:
        os.link(source, target)
