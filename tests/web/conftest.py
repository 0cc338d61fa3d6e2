"""A real server over a fresh shop on a free port, and a real browser that may ask nobody else.

- ``shop``: an empty shop in a folder of its own. ``client``: asks the application without a server.
- ``bench``: the application served on a free port; ``bench.address`` ends without a stroke.
- ``sheet``: a page of the browser at 1440 px. It fails the test when the page asks another address, breaks the content
  security policy, or writes an error on the console. ``sheet_at(width)`` opens one of another width.
- ``web_tools.axe_clean(page)``: no violation found by axe, in light and in dark.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from served_bench import Bench, served
from starlette.testclient import TestClient

from spindlewright.shop.store import Shop
from spindlewright.web.app import create_app
from spindlewright.web.settings import WebSettings
from system_packages import program

CHROMIUM_WORDS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"),
    *("--disable-component-update", "--disable-sync", "--force-prefers-reduced-motion"),
]


@pytest.fixture(scope="session")
def empty_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of an empty shop, to be copied: making its tables takes a while."""
    folder = tmp_path_factory.mktemp("empty") / "shop"
    Shop.open(folder).close()
    return folder


@pytest.fixture
def shop(tmp_path: Path, empty_folder: Path) -> Iterator[Shop]:
    shutil.copytree(empty_folder, tmp_path / "shop")
    with Shop.open(tmp_path / "shop") as opened:
        yield opened


@pytest.fixture
def client(shop: Shop) -> Iterator[TestClient]:
    with TestClient(
        create_app(shop, WebSettings(measure=False)), base_url="http://localhost", raise_server_exceptions=False
    ) as asked:
        yield asked


@pytest.fixture
def bench(shop: Shop) -> Iterator[Bench]:
    with served(shop) as there:
        yield there


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program("chromium"), headless=True, args=CHROMIUM_WORDS)
        yield started
        started.close()


@pytest.fixture
def sheet_at(browser: Any, bench: Bench) -> Iterator[Callable[..., Any]]:
    """Opens a page of the browser of some width; at the end nothing may have gone wrong on any."""
    contexts: list[Any] = []
    wrong: list[str] = []

    def open_sheet(width: int = 1440, height: int = 900, **more: Any) -> Any:
        context = browser.new_context(viewport={"width": width, "height": height}, base_url=bench.address, **more)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)

        def asked(request: Any) -> None:
            if not request.url.startswith((bench.address + "/", "data:", "blob:")):
                wrong.append(f"asked {request.url}")

        def told(message: Any) -> None:
            refused_on_purpose = "Failed to load resource" in message.text
            if message.type == "error" and not refused_on_purpose:
                wrong.append(f"console: {message.text}")

        page.on("request", asked)
        page.on("console", told)
        page.on("pageerror", lambda problem: wrong.append(f"script: {problem}"))
        return page

    yield open_sheet
    for context in contexts:
        context.close()
    assert wrong == []


@pytest.fixture
def sheet(sheet_at: Callable[..., Any]) -> Any:
    return sheet_at()
