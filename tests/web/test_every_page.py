"""Every page that needs no job: clean by axe, no sideways scroll, quick and small, right by keyboard, on paper."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from served_bench import Bench
from web_tools import axe_clean, spills_sideways

from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.store import Shop
from system_packages import needs

pytestmark = needs("chromium")
PAGES = ("/", "/?words=nothing", "/new", "/start", "/tap", "/cautions", "/settings", "/nowhere")
MOST_BYTES = 100_000


@pytest.fixture
def one_job(shop: Shop) -> str:
    return new_job(shop, NewJob(deck="idler deck " + "with a very long name " * 6, complaint="thumps " * 60))


@pytest.mark.parametrize("width", [360, 1440])
def test_pages_are_clean_by_axe_in_both_themes_and_fit_their_width(
    sheet_at: Callable[..., Any], one_job: str, width: int
) -> None:
    sheet = sheet_at(width)
    for path in PAGES:
        sheet.goto(path)
        axe_clean(sheet)
        assert not spills_sideways(sheet), path
    sheet.goto("/new")
    sheet.click("summary")
    axe_clean(sheet)


def test_pages_are_small(sheet: Any, one_job: str) -> None:
    """Everything a page loads; how soon it is painted is measured by benchmarks/pages.py."""
    received: list[int] = []
    sheet.on("response", lambda answer: received.append(int(answer.headers.get("content-length", 0))))
    for path in PAGES:
        received.clear()
        sheet.goto(path)
        assert 0 < sum(received) < MOST_BYTES, path


def test_the_skip_link_comes_first_and_focus_can_be_seen(sheet: Any, one_job: str) -> None:
    sheet.goto("/cautions")
    sheet.keyboard.press("Tab")
    assert sheet.evaluate("document.activeElement.className") == "skip"
    sheet.keyboard.press("Enter")
    assert sheet.evaluate("document.activeElement.id") == "main"
    sheet.goto("/")
    for _ in range(12):
        sheet.keyboard.press("Tab")
        outline = sheet.evaluate(
            """() => { const s = getComputedStyle(document.activeElement);
                       return [s.outlineStyle, parseFloat(s.outlineWidth)]; }"""
        )
        assert outline[0] == "solid"
        assert outline[1] >= 2


def test_the_paper_switch_holds_on_every_page_and_brings_one_back(sheet: Any, bench: Bench, one_job: str) -> None:
    sheet.goto("/cautions")
    light = sheet.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    sheet.click("button[value=dark]")
    assert sheet.url == bench.at("/cautions")
    dark = sheet.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert (light, dark) == ("rgb(253, 252, 248)", "rgb(20, 24, 29)")  # of charts/ink_and_paper.py
    sheet.goto("/settings")
    assert sheet.evaluate("getComputedStyle(document.documentElement).backgroundColor") == dark
    assert sheet.get_attribute("button[value=dark]", "aria-pressed") == "true"


def test_the_colours_are_those_of_the_charts(sheet: Any) -> None:
    from spindlewright.charts import ink_and_paper as colours

    sheet.goto("/cautions")
    wanted = {
        "light": (colours.INK, colours.PAPER, colours.RULE, colours.QUIET, colours.ACCENT),
        "dark": tuple(getattr(colours, f"DARK_{name}") for name in ("INK", "PAPER", "RULE", "QUIET", "ACCENT")),
    }
    for scheme, every in wanted.items():
        sheet.emulate_media(color_scheme=scheme)
        found = sheet.evaluate(
            """() => ["ink", "paper", "rule", "quiet", "accent"].map((name) => {
                 const probe = document.body.appendChild(document.createElement("i"));
                 probe.style.color = `var(--${name})`;
                 const parts = getComputedStyle(probe).color.match(/\\d+/g).map(Number);
                 probe.remove();
                 return "#" + parts.map((part) => part.toString(16).padStart(2, "0")).join("");
               })"""
        )
        assert tuple(found) == every


def test_on_paper_there_is_ink_on_white_and_no_navigation(sheet: Any) -> None:
    sheet.goto("/cautions")
    sheet.emulate_media(media="print", color_scheme="dark")
    assert not sheet.is_visible(".masthead nav")
    assert sheet.evaluate("getComputedStyle(document.body).color") == "rgb(28, 39, 51)"


def test_a_foreign_page_can_t_change_anything(sheet_at: Callable[..., Any], browser: Any, bench: Bench) -> None:
    """A page of another origin posts a form here: refused with a page, nothing changed."""
    from http.server import BaseHTTPRequestHandler, HTTPServer
    from threading import Thread

    class Foreign(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            form = f'<form method=post action="{bench.address}/new"><input name=deck value=planted><button>x</button>'
            self.wfile.write(form.encode())

        def log_message(self, *_: object) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Foreign)
    Thread(target=server.serve_forever, daemon=True).start()
    page = browser.new_page()
    try:
        page.goto(bench.address + "/new")
        page.goto(f"http://127.0.0.1:{server.server_port}/")
        page.click("button")
        page.wait_for_url("**/new")
        assert "asked by a page from another address" in page.text_content("main")
    finally:
        page.close()
        server.shutdown()
        server.server_close()
    from spindlewright.shop.jobs_list import jobs

    assert jobs(bench.shop).total == 0
