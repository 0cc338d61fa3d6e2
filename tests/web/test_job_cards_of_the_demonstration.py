"""The job cards of the demonstration in a real browser: nothing found by axe, nothing wider than its window."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from served_bench import Bench, served
from web_tools import axe_clean, spills_sideways

from spindlewright.shop.store import Shop
from system_packages import needs

pytestmark = [needs("chromium"), pytest.mark.slow]
JOBS = ("2026-0001", "2026-0002", "2026-0003")


@pytest.fixture
def bench(own_demo_folder: Path) -> Iterator[Bench]:
    with Shop.open(own_demo_folder) as shop, served(shop) as there:
        yield there


@pytest.mark.parametrize("width", [360, 1440])
def test_every_stage_is_clean_and_fits(sheet_at: Callable[..., Any], bench: Bench, width: int) -> None:
    sheet = sheet_at(width)
    sheet.set_default_timeout(30_000)
    for number in JOBS:
        sheet.goto(f"/jobs/{number}")
        axe_clean(sheet)
        sheet.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
        axe_clean(sheet)
        assert not spills_sideways(sheet), number
