"""The first-run page: ways to begin, and the demonstration shop made beside the own one."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
from served_bench import Bench
from starlette.testclient import TestClient
from web_tools import token_in, until

from spindlewright.demo.made import mark_made
from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.jobs_list import jobs
from spindlewright.shop.store import Shop
from spindlewright.web.app import create_app
from spindlewright.web.settings import WebSettings
from system_packages import needs


def _demonstration_already_made(shop: Shop) -> Path:
    folder = shop.folder.with_name(f"{shop.folder.name}-demonstration")
    with Shop.open(folder) as other:
        number = new_job(other, NewJob(deck="deck of the demonstration"))
    mark_made(folder, [number])
    return folder


@needs("chromium")
def test_a_demonstration_that_was_made_before_is_opened_at_its_own_address(sheet: Any, bench: Bench) -> None:
    _demonstration_already_made(bench.shop)
    sheet.goto("/")
    sheet.get_by_role("button", name="Make the demonstration shop").click()
    until(sheet, "document.querySelector('#demonstration a.button') !== null")
    address = sheet.get_attribute("#demonstration a.button", "href")
    assert address.startswith("http://127.0.0.1:")
    assert not address.startswith(bench.address)
    other = sheet.request.get(address).text()
    assert "deck of the demonstration" in other
    assert "Make the demonstration" not in sheet.request.get(f"{address}start").text()
    assert jobs(bench.shop).total == 0


def test_a_folder_that_holds_other_things_is_left_alone_and_told(client: TestClient, shop: Shop) -> None:
    folder = shop.folder.with_name(f"{shop.folder.name}-demonstration")
    folder.mkdir()
    (folder / "letters.txt").write_text("mine")
    client.post("/start/demonstration", data={"token": token_in(client.get("/start").text)})
    end = time.monotonic() + 20
    while "holds other things" not in (html := client.get("/start").text):
        assert time.monotonic() < end
        time.sleep(0.05)
    assert "Make the demonstration shop" in html
    assert [path.name for path in folder.iterdir()] == ["letters.txt"]


def test_the_demonstration_offers_no_other(shop: Shop) -> None:
    settings = WebSettings(measure=False, offer_demonstration=False)
    with TestClient(create_app(shop, settings), base_url="http://localhost") as client:
        html = client.get("/start").text
        assert "demonstration shop" not in html
        assert client.post("/start/demonstration", data={"token": token_in(html)}).status_code == 409


@pytest.mark.slow
def test_it_is_made_from_the_page_with_its_progress(client: TestClient) -> None:
    client.post("/start/demonstration", data={"token": token_in(client.get("/start").text)})
    seen = set()
    end = time.monotonic() + 300
    while "Open the demonstration shop" not in (html := client.get("/start").text):
        assert time.monotonic() < end
        assert 'role="alert"' not in html
        seen.add(html.partition('<progress value="')[2].partition('"')[0])
        time.sleep(0.2)
    assert len(seen) > 3
