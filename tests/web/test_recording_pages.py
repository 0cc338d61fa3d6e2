"""The page of a recording and before against after: figures equal to the record, order, states, refusals."""

from __future__ import annotations

import io
import threading
import urllib.request
from collections.abc import Callable
from typing import Any

import pytest
from served_bench import Bench
from starlette.testclient import TestClient
from web_tools import axe_clean, spills_sideways

from known_measurement import known_measurement, stored_reading
from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.gates import GATES, answer_gate
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.recordings import measured, not_measured, take_in
from spindlewright.shop.store import Shop
from spindlewright.shop.tasks import NewTask, add_task
from spindlewright.web.drawn_charts import DrawnCharts, NotDrawn
from spindlewright.web.pages import recording
from system_packages import needs

LIMIT = {"low": -0.3, "high": 0.3, "source": "bench target of a synchronous belt drive"}


def job(shop: Shop) -> str:
    """A belt deck at Before, with an idler's sizes so that parts are marked."""
    number = new_job(
        shop,
        NewJob(
            deck="idler deck, unit 9",
            complaint="thumps",
            owner_name="Town library",
            condition="lid scratched",
            stop_sum=80,
            drive="idler",
            dimensions={"rim_mm": 270, "idler_mm": 60},
        ),
    )
    for gate in GATES:
        for question in gate.questions:
            usual = "yes" if "yes" in question.answers else question.answers[0]
            answer_gate(shop, number, gate.key, question.key, usual)
    return number


def recorded(shop: Shop, number: str, stage: str = "before", **changed: Any) -> int:
    """A recording kept with the measurement whose figures are known."""
    sound = b"RIFF not really a recording, only kept " + stage.encode() + str(sorted(changed)).encode()
    view = take_in(shop, number, stage, f"{stage} <b>&side.wav", io.BytesIO(sound))
    stored = known_measurement()
    stored["readings"].insert(0, stored_reading("rotation_rate", 33.17, "rpm", 0.03))
    stored["readings"][1].update(limit=LIMIT, verdict="outside")
    stored.update(changed)
    measured(shop, view.id, stored)
    return view.id


def in_order(html: str, *words: str) -> None:
    places = [html.index(word) for word in words]
    assert places == sorted(places), list(zip(words, places, strict=True))


def test_fitness_first_then_the_sentence_then_readings_moves_and_charts(client: TestClient, shop: Shop) -> None:
    number = job(shop)
    item = {"code": "many_ticks", "severity": "warn", "channel": None, "message": "Many ticks.", "evidence": {}}
    finding = {"code": "off_centre", "message": "The disc is off centre.", "evidence": {}, "band": 0}
    capture = recorded(shop, number, fitness=[item], findings=[finding])
    html = client.get(f"/jobs/{number}/recordings/{capture}").text
    in_order(html, "Many ticks.", "In one sentence", ">Readings<", "The disc is off centre.", "Next moves", ">Charts<")
    assert "−0.50 ± 0.10 %" in html
    assert "−0.3 to +0.3 %" in html
    assert '<span class="verdict-outside">outside</span>' in html
    assert "bench target of a synchronous belt drive" in html
    assert "before &lt;b&gt;&amp;side.wav" in html
    assert html.count("<figure") == 6
    assert "2.50\u00a0Hz (idler)" in html  # 33.17/60 × 270/60 = 2.488 Hz, within 1 % of the line at 2.50
    assert html.rstrip().endswith("</html>")


def test_a_recording_that_waits_or_failed_says_so(client: TestClient, shop: Shop) -> None:
    number = job(shop)
    view = take_in(shop, number, "before", "side.wav", io.BytesIO(b"something"))
    html = client.get(f"/jobs/{number}/recordings/{view.id}").text
    assert "being measured" in html
    assert "<figure" not in html
    not_measured(shop, view.id, "side.wav is not a recording: found text, allowed are WAV and FLAC.")
    html = client.get(f"/jobs/{number}/recordings/{view.id}").text
    assert "side.wav is not a recording: found text" in html


def test_another_jobs_recording_is_refused_with_a_word(client: TestClient, shop: Shop) -> None:
    capture = recorded(shop, job(shop))
    other = job(shop)
    answer = client.get(f"/jobs/{other}/recordings/{capture}")
    assert answer.status_code == 404
    assert "Look for it on that job card." in answer.text
    for path in (f"/jobs/{other}/recordings/99", "/jobs/2020-0001/recordings/1", "/jobs/2020-0001/before-and-after"):
        answer = client.get(path)
        assert answer.status_code == 404, path
        assert "Traceback" not in answer.text


def test_without_curves_the_charts_of_readings_stand(client: TestClient, shop: Shop) -> None:
    number = job(shop)
    capture = recorded(shop, number, curves=None)
    html = client.get(f"/jobs/{number}/recordings/{capture}").text
    assert html.count("<figure") == 2  # hum and azimuth need no curve


@pytest.fixture
def cured(shop: Shop) -> str:
    """Before −0.50 ± 0.10 %, after −0.02 ± 0.10 %: better; the azimuth as it was."""
    number = job(shop)
    recorded(shop, number)
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone", sum=80))
    add_task(shop, number, NewTask("belt renewed"))
    after = known_measurement()["readings"]
    after[0].update(value=-0.02, limit=LIMIT, verdict="within")
    recorded(shop, number, "after", readings=after)
    return number


def test_before_and_after_in_one_view(client: TestClient, cured: str) -> None:
    html = client.get(f"/jobs/{cured}/before-and-after").text
    assert html.count("<figure") == 1
    assert '<td class="words">−0.50 ± 0.10 %</td>' in html
    assert '<td class="words">−0.02 ± 0.10 %</td>' in html
    in_order(html, "Speed deviation: −0.50", "No change shown:", "Azimuth error: +2.00")
    assert "Not compared" in html
    assert "Rotation rate: not read after." in html


def test_nothing_to_compare_yet(client: TestClient, shop: Shop) -> None:
    html = client.get(f"/jobs/{job(shop)}/before-and-after").text
    assert "There is nothing to compare yet." in html
    assert "<figure" not in html


def test_a_chart_that_fails_does_not_take_the_page_down(caplog: pytest.LogCaptureFixture) -> None:
    def fails() -> None:
        raise ValueError("cannot draw this")

    drawn: list[str] = []

    def nothing() -> None:
        drawn.append("again")

    kept = DrawnCharts(1)
    shown = list(kept.of("one", lambda: (("Broken", fails), ("None", nothing))))
    assert shown == [NotDrawn("Broken")]
    assert "cannot draw this" in caplog.text
    list(kept.of("one", lambda: (("Broken", fails), ("None", nothing))))
    assert drawn == ["again", "again"], "a page with a failure is drawn anew"
    for key in ("two", "two", "three", "two"):
        list(kept.of(key, lambda: (("None", nothing),)))
    assert len(drawn) == 5, "kept once, given up for the next, drawn again"


@needs("chromium")
@pytest.mark.parametrize(("width", "path"), [(360, "recordings/1"), (1440, "before-and-after")])
def test_pages_are_clean_in_both_themes(sheet_at: Callable[..., Any], cured: str, width: int, path: str) -> None:
    sheet = sheet_at(width)
    sheet.goto(f"/jobs/{cured}/{path}")
    axe_clean(sheet)
    assert not spills_sideways(sheet)


@needs("chromium")
def test_pages_fit_their_width(sheet_at: Callable[..., Any], cured: str) -> None:
    for width, path in ((360, "before-and-after"), (1440, "recordings/1")):
        sheet = sheet_at(width)
        sheet.goto(f"/jobs/{cured}/{path}")
        assert not spills_sideways(sheet), path


@needs("chromium")
def test_charts_are_read_by_keyboard_on_the_real_page(sheet: Any, cured: str) -> None:
    sheet.goto(f"/jobs/{cured}/recordings/1")
    plot = sheet.locator(".chart-hum-lines [data-chart-plot]")
    plot.focus()
    sheet.keyboard.press("ArrowRight")
    assert sheet.locator(".chart-hum-lines output").inner_text() == (
        "Order 1 · Frequency 50.0 Hz · Left −52.0 dB · Right −50.0 dB"
    )


def test_readings_are_sent_before_the_charts_are_drawn(
    bench: Bench, cured: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The chart waits until the reader has the readings; were they sent together, nobody would ever get anything."""
    seen = threading.Event()
    waited: list[bool] = []

    def slow() -> None:
        waited.append(seen.wait(20.0))

    monkeypatch.setattr(recording, "chart_makers", lambda *_: (("Slow", slow),))
    with urllib.request.urlopen(bench.at(f"/jobs/{cured}/recordings/2"), timeout=30.0) as answer:
        head = b""
        while b"within</span>" not in head:
            more = answer.read1(4096)
            assert more, "the page ended without its readings"
            head += more
        seen.set()
        assert answer.read().rstrip().endswith(b"</html>")
    assert waited == [True]
