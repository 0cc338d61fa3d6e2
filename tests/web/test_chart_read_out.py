"""The cross-hair of a chart in a real browser: by mouse, touch and keys, under the policy that a page sends."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import jinja2
import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route

import spindlewright
from spindlewright.charts import ink_and_paper as ink
from spindlewright.charts.before_against_after import Row, before_against_after
from spindlewright.charts.chart import Chart
from spindlewright.charts.deviation_over_time import deviation_over_time
from spindlewright.charts.turns_map import turns_map

WEB = Path(spindlewright.__file__).parent / "web"
POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'"
THEME = f"""
:root {{ --ink: {ink.INK}; --paper: {ink.PAPER}; --tint: {ink.TINT}; --rule: {ink.RULE};
  --quiet: {ink.QUIET}; --accent: {ink.ACCENT}; }}
@media (prefers-color-scheme: dark) {{ :root {{ --ink: {ink.DARK_INK}; --paper: {ink.DARK_PAPER};
  --rule: {ink.DARK_RULE}; --quiet: {ink.DARK_QUIET}; --tint: {ink.DARK_TINT}; --accent: {ink.DARK_ACCENT}; }} }}
body {{ margin: 16px; background: var(--paper); color: var(--ink); }}
"""


@pytest.fixture(scope="module")
def charts() -> tuple[Chart, ...]:
    """A slope from 0 to 1 % in 12 s, so that the value at a place is known; a map; a comparison."""
    t = np.linspace(0.0, 12.0, 601)
    theta = np.arange(2.5, 3600.0, 5.0)
    curves = {
        "deviation": {"x": t.tolist(), "y": (t / 12.0).tolist(), "band": 0},
        "deviation_by_angle": {"x": theta.tolist(), "y": np.cos(np.radians(theta)).tolist(), "band": 0},
    }
    stored: dict[str, Any] = {"readings": [], "curves": curves}
    rows = [
        Row("Wow", "%", 0.3, 0.01, 0.1, 0.01, "better", high=0.2, zero_is_best=True),
        Row("Hum, left", "dB", -50.0, 0.5, -50.1, 0.5, "no change shown"),
    ]
    made = (deviation_over_time(stored), turns_map(stored), before_against_after(rows))
    return tuple(chart for chart in made if chart is not None)


@pytest.fixture(scope="module")
def html(charts: tuple[Chart, ...]) -> str:
    loader = jinja2.FileSystemLoader(WEB / "templates")
    part = jinja2.Environment(loader=loader, autoescape=True, undefined=jinja2.StrictUndefined)
    figures = "".join(part.get_template("parts/chart.html").render(chart=chart) for chart in charts)
    return (
        "<!doctype html><html lang='en'><head><meta charset='utf-8'><title>Charts</title>"
        "<meta name='viewport' content='width=device-width'>"
        "<link rel='stylesheet' href='/theme.css'><link rel='stylesheet' href='/chart.css'></head>"
        f"<body><main><h1>Charts</h1><h2>Of one recording</h2>{figures}</main>"
        "<script type='module' src='/chart.js'></script></body></html>"
    )


def opened(browser: Browser, html: str, **how: Any) -> Page:
    page = browser.new_context(**{"viewport": {"width": 1440, "height": 900}, **how}).new_page()
    bodies = {
        "/": ("text/html", html),
        "/theme.css": ("text/css", THEME),
        "/chart.css": ("text/css", (WEB / "static" / "chart.css").read_text(encoding="utf-8")),
        "/chart.js": ("text/javascript", (WEB / "static" / "chart.js").read_text(encoding="utf-8")),
    }

    def answer(route: Route) -> None:
        path = re.sub(r"^https?://[^/]+", "", route.request.url)
        kind, body = bodies.get(path, ("text/plain", ""))
        status = 200 if path in bodies else 404
        route.fulfill(status=status, body=body, content_type=kind, headers={"Content-Security-Policy": POLICY})

    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.route("**/*", answer)
    page.goto("http://bench.test/")
    page.wait_for_selector("[data-chart-plot][tabindex='0']")
    assert not [c for c in complaints if "favicon" not in c], "the policy or the script complained"
    return page


def figure(page: Page, name: str) -> Any:
    return page.locator(f"figure.chart-{name}")


def said(page: Page, name: str) -> str:
    return str(figure(page, name).locator("output").inner_text())


def place_in_plot(page: Page, name: str, across: float, down: float) -> tuple[float, float]:
    """A place on the screen from shares of the plot."""
    drawing = figure(page, name).locator("svg:visible")
    box = drawing.bounding_box()
    left, top, width, height = (float(v) for v in drawing.get_attribute("data-plot").split())
    scale = box["width"] / float(drawing.get_attribute("viewBox").split()[2])
    return box["x"] + scale * (left + across * width), box["y"] + scale * (top + down * height)


@pytest.mark.parametrize("width", [360, 1440])
def test_pointing_reads_the_value_under_the_pointer(browser: Browser, html: str, width: int) -> None:
    page = opened(browser, html, viewport={"width": width, "height": 900})
    figure(page, "deviation-over-time").scroll_into_view_if_needed()
    for share in (0.25, 0.75):
        page.mouse.move(*place_in_plot(page, "deviation-over-time", share, 0.5))
        words = said(page, "deviation-over-time")
        time_s, mean = (float(re.search(rf"{name} \+?([\d.]+)", words).group(1)) for name in ("Time", "Mean"))  # type: ignore[union-attr]
        assert time_s == pytest.approx(12.0 * share, abs=0.06)  # 120 rows in 12 s
        assert mean == pytest.approx(share, abs=0.006)
        hair = figure(page, "deviation-over-time").locator("line.chart-hair")
        assert hair.count() == 1
        assert hair.bounding_box()["x"] == pytest.approx(
            place_in_plot(page, "deviation-over-time", share, 0.5)[0],
            abs=4.0,  # half a row is 2.7 px, and the line has a width
        )


def test_arrow_keys_step_through_the_table(browser: Browser, html: str) -> None:
    page = opened(browser, html)
    plot = figure(page, "deviation-over-time").locator("[data-chart-plot]")
    plot.focus()
    page.keyboard.press("ArrowRight")
    first = said(page, "deviation-over-time")
    page.keyboard.press("ArrowRight")
    second = said(page, "deviation-over-time")
    page.keyboard.press("ArrowLeft")
    assert said(page, "deviation-over-time") == first != second
    page.keyboard.press("End")
    assert "Highest +1.000 %" in said(page, "deviation-over-time")
    page.keyboard.press("Home")
    assert "Lowest 0.000 %" in said(page, "deviation-over-time")
    page.keyboard.press("ArrowDown")  # not for this chart: the page may scroll
    assert "Lowest 0.000 %" in said(page, "deviation-over-time")


def test_a_map_is_read_in_both_directions(browser: Browser, html: str) -> None:
    page = opened(browser, html)
    figure(page, "turns-map").locator("[data-chart-plot]").focus()
    for key in ("ArrowDown", "ArrowDown", "ArrowRight"):
        page.keyboard.press(key)
    # second turn, 30 to 60°: the mean of cos there is (sin 60° − sin 30°)/(π/6) = 0.699, in 5° steps 0.699
    assert said(page, "turns-map") == "Turn 2 · 30 to 60° +0.699 %"
    page.mouse.move(*place_in_plot(page, "turns-map", 195.0 / 360.0, 0.95))
    assert said(page, "turns-map") == "Turn 10 · 180 to 210° −0.955 %"  # (sin 210° − sin 180°)/(π/6) = −0.955
    box = figure(page, "turns-map").locator("rect.chart-hair").bounding_box()
    x, y = place_in_plot(page, "turns-map", 195.0 / 360.0, 0.95)
    assert box["x"] < x < box["x"] + box["width"]
    assert box["y"] < y < box["y"] + box["height"]


def test_a_finger_reads_the_rows_of_the_comparison(browser: Browser, html: str) -> None:
    page = opened(browser, html, viewport={"width": 360, "height": 800}, has_touch=True)
    figure(page, "before-against-after").scroll_into_view_if_needed()
    page.touchscreen.tap(*place_in_plot(page, "before-against-after", 0.5, 0.75))
    words = said(page, "before-against-after")
    assert words.startswith("Quantity Hum, left · Before −50.00 ± 0.50 dB")
    assert words.endswith("Outcome no change shown")


@pytest.mark.parametrize(("theme", "width"), [("light", 360), ("dark", 1440)])
def test_charts_are_accessible_and_do_not_widen_the_page(browser: Browser, html: str, theme: Any, width: int) -> None:
    page = opened(browser, html, viewport={"width": width, "height": 900}, color_scheme=theme)
    for details in page.locator("details").all():
        details.evaluate("element => element.open = true")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    wanted = "narrow" if width == 360 else "wide"
    assert figure(page, "turns-map").locator("svg:visible").count() == 1
    assert figure(page, "turns-map").locator(f".chart-{wanted} svg").is_visible()


def test_in_the_dark_every_line_is_the_pages_ink(browser: Browser, html: str) -> None:
    page = opened(browser, html, color_scheme="dark")
    strokes = page.evaluate(
        "[...new Set([...document.querySelectorAll('svg .ink-line')].map(e => getComputedStyle(e).stroke))]"
    )
    assert strokes == ["rgb(233, 229, 219)"]  # #e9e5db


def test_without_script_the_table_is_there(browser: Browser, html: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.set_content(html)
    shown = page.locator("figure.chart-before-against-after")
    shown.locator("summary").click()
    assert shown.locator("tbody tr").count() == 2
    assert shown.locator("td").nth(0).inner_text() == "0.300 ± 0.010 %"
