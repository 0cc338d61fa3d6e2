"""Jobs on a shop of their own, and their sheets, each made once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
import sheet_jobs

from spindlewright.sheets.owner_page import owner_page
from spindlewright.sheets.printed_job_card import printed_job_card
from spindlewright.sheets.service_sheet import service_sheet
from spindlewright.shop.job_card import job_card
from spindlewright.shop.store import Shop
from spindlewright.shop.views.card import JobCard

MAKERS = {"service": service_sheet, "owner": owner_page, "card": printed_job_card}
Sheet = Callable[..., bytes]


@pytest.fixture(scope="session")
def bench_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("bench")


@pytest.fixture(scope="session")
def bench(bench_folder: Path) -> Iterator[Shop]:
    with sheet_jobs.open_shop(bench_folder) as shop:
        yield shop


@pytest.fixture(scope="session")
def card_of(bench: Shop) -> Callable[[str], JobCard]:
    """The card of a job of ``sheet_jobs`` by the name of its maker, made once."""

    @cache
    def card(kind: str) -> JobCard:
        return job_card(bench, getattr(sheet_jobs, kind)(bench), curves=True)

    return card


@pytest.fixture(scope="session")
def sheet(card_of: Callable[[str], JobCard]) -> Sheet:
    """``sheet("service", "full_job", "a4")``: the PDF, made once."""

    @cache
    def made(which: str, kind: str, paper: str = "a4") -> bytes:
        return MAKERS[which](card_of(kind), sheet_jobs.SETTINGS, paper)

    return made
