"""Tap the turns in a real browser: keys, finger, reload, slips, into a job. Speeds come from the clock of the test."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable
from typing import Any

import pytest
from served_bench import Bench
from web_tools import axe_clean, spills_sideways, until

from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.gates import answer_gate, gates_of
from spindlewright.shop.job_card import job_card
from spindlewright.shop.store import Shop
from system_packages import needs

pytestmark = needs("chromium")
TURN_S = 0.76666667
"""A turn at 78.261 rpm, the quickest nominal speed, so that the test is short."""


def _tap_in_time(sheet: Any, taps: int, tap: Callable[[], None]) -> list[float]:
    """Taps at the beat; gives the times at which they were really made, by the test's own clock."""
    made = []
    begin = time.perf_counter()
    for turn in range(taps):
        sheet.wait_for_timeout(max(0.0, 1000.0 * (begin + turn * TURN_S - time.perf_counter())))
        made.append(time.perf_counter())
        tap()
    return made


def _put_taps(sheet: Any, times_s: list[float], age_s: float = 2.0) -> None:
    """Taps as the page itself keeps them over a reload, the last one ``age_s`` ago."""
    sheet.goto("/tap")
    sheet.evaluate(
        """([times, age]) => {
          const first = Date.now() / 1000 - age - times.at(-1);
          const kept = {taps: times.map((at) => first + at), earlier: [], nominal: null, facts: {}};
          localStorage.setItem("spindlewright-taps", JSON.stringify(kept));
        }""",
        [times_s, age_s],
    )
    sheet.reload()


def _shown_speed(sheet: Any) -> tuple[float, float]:
    sheet.wait_for_selector("#off:visible")
    under = re.search(r"± ([\d.]+) rpm", sheet.text_content("#under"))
    assert under
    return float(sheet.text_content("#figure")), float(under.group(1))


EVEN = [1.8 * turn + slip for turn, slip in enumerate([0, 0.01, -0.01, 0.015, 0, -0.012, 0.008, 0, -0.01, 0.005])]


def test_the_space_bar_gives_the_speed_of_the_beat(sheet: Any) -> None:
    sheet.goto("/tap")
    sheet.check("input[data-name='78']")
    sheet.focus("#pad")
    made = _tap_in_time(sheet, 7, lambda: sheet.keyboard.press(" "))
    beat_rpm = 60.0 * (len(made) - 1) / (made[-1] - made[0])
    until(sheet, "document.getElementById('tap-count').textContent.startsWith('7 taps, 6 turns')")
    speed, uncertainty = _shown_speed(sheet)
    assert abs(speed - beat_rpm) < max(2.5 * uncertainty, 0.8)
    assert abs(speed - 78.26) < 4.0


def test_any_letter_and_a_finger_tap_and_each_only_once(sheet_at: Callable[..., Any]) -> None:
    sheet = sheet_at(360, 780, has_touch=True)
    sheet.goto("/tap")
    sheet.wait_for_selector("#pad:focus")
    for count, press in enumerate(
        (
            lambda: sheet.keyboard.press("k"),
            lambda: sheet.tap("#pad"),
            lambda: sheet.keyboard.press("Enter"),
        ),
        1,
    ):
        press()
        sheet.wait_for_timeout(150)
        assert sheet.text_content("#figure") == str(count)


def test_keys_with_another_task_do_not_tap(sheet: Any) -> None:
    sheet.goto("/tap")
    sheet.wait_for_selector("#pad:focus")
    for key in ("Tab", "Shift", "ArrowDown", "Control+a", "F2", "PageDown"):
        sheet.keyboard.press(key)
    sheet.focus("#drive" if sheet.is_visible("#drive") else "summary")
    sheet.keyboard.press("b")
    assert sheet.text_content("#figure") == "0"


def test_taps_outlive_a_reload(sheet: Any) -> None:
    sheet.goto("/tap")
    sheet.wait_for_selector("#pad:focus")
    sheet.keyboard.press(" ")
    sheet.wait_for_timeout(50)
    sheet.keyboard.press(" ")
    sheet.reload()
    until(sheet, "document.getElementById('figure').textContent === '2'")
    sheet.wait_for_selector("#pad:focus")
    sheet.keyboard.press(" ")
    assert sheet.text_content("#figure") == "3"


def test_the_reading_of_known_times_is_that_of_least_squares(sheet: Any) -> None:
    # witness: the slope of a straight line by numpy.polyfit
    import numpy as np

    slope_s = float(np.polyfit(np.arange(len(EVEN)), EVEN, 1)[0])
    _put_taps(sheet, EVEN)
    speed, uncertainty = _shown_speed(sheet)
    assert speed == pytest.approx(60.0 / slope_s, abs=0.006)
    assert 0.01 < uncertainty < 0.2
    assert "of 33⅓" in sheet.text_content("#off")
    assert sheet.locator("#course line.newest").count() == 1


def test_another_speed_of_the_deck_changes_the_deviation(sheet: Any) -> None:
    _put_taps(sheet, EVEN)
    _shown_speed(sheet)
    sheet.check("input[data-name='45']")
    until(sheet, "document.getElementById('off').textContent.includes('of 45')")
    # 33.3 rpm is 25.9 % below 45 rpm
    assert sheet.text_content("#off").startswith("−25.9")
    assert "33.33 rpm" in sheet.text_content("#told")


def test_a_missed_tap_is_told(sheet: Any) -> None:
    _put_taps(sheet, EVEN[:5] + EVEN[6:])
    _shown_speed(sheet)
    assert "missed after tap 5" in sheet.text_content("#told")


def test_taps_that_make_no_sense_are_refused_in_a_sentence_and_the_last_can_be_taken_out(sheet: Any) -> None:
    _put_taps(sheet, [*EVEN[:6], EVEN[5] + 0.4, EVEN[5] + 6.1])
    sheet.wait_for_selector("#refused:visible")
    assert "tap" in sheet.text_content("#refused")
    sheet.click("#take-out")
    sheet.click("#take-out")
    _shown_speed(sheet)
    assert not sheet.is_visible("#refused")


def test_after_a_pause_a_new_count_begins_and_the_old_one_can_come_back(sheet: Any) -> None:
    _put_taps(sheet, EVEN, age_s=60.0)
    before = _shown_speed(sheet)
    sheet.keyboard.press(" ")
    assert sheet.text_content("#figure") == "1"
    sheet.click("#earlier")
    assert _shown_speed(sheet) == before


def test_the_deck_s_facts_change_the_move(sheet: Any) -> None:
    _put_taps(sheet, [at * 6.0 / 5.0 for at in EVEN])  # 5/6 of the speed: a pulley for 60 Hz on 50 Hz
    _shown_speed(sheet)
    sheet.click("#facts summary")
    sheet.select_option("#drive", "belt")
    sheet.select_option("#motor", "synchronous")
    sheet.select_option("#speed_trim", "none")
    until(sheet, "document.getElementById('moves').textContent.includes('pulley for 50')")
    assert sheet.locator("#cautions .caution").count() >= 1


def _job_ready_for_readings(shop: Shop) -> str:
    number = new_job(shop, NewJob(deck="belt deck", complaint="too slow", own_deck=True))
    for gate in gates_of(shop, number):
        for question in gate.questions:
            answer_gate(shop, number, gate.key, question.key, question.answers[0])
    return number


def test_a_count_is_taken_into_a_job_by_keyboard_and_kept_to_the_last_digit(sheet: Any, bench: Bench) -> None:
    number = _job_ready_for_readings(bench.shop)
    _put_taps(sheet, EVEN)
    _shown_speed(sheet)
    sheet.goto(f"/tap?job={number}&stage=before")
    _shown_speed(sheet)
    sheet.focus("#take-it")
    sheet.keyboard.press("Enter")
    sheet.wait_for_selector("#taken:visible")
    (kept,) = job_card(bench.shop, number).readings_of("before")
    taps = json.loads(sheet.evaluate("localStorage.getItem('spindlewright-taps')"))["taps"]
    from spindlewright.readings.counted_turns import counted_turns

    assert kept.reading.quantity == "speed_by_counted_turns"
    assert kept.reading.value == pytest.approx(counted_turns([at - taps[0] for at in taps]).value, rel=1e-12)
    assert sheet.get_attribute("#taken-link", "href") == f"/jobs/{number}#before"


def test_a_closed_gate_is_told_on_the_page_and_the_count_stays(sheet: Any, bench: Bench) -> None:
    number = new_job(bench.shop, NewJob(deck="belt deck"))
    _put_taps(sheet, EVEN)
    _shown_speed(sheet)
    sheet.select_option("#job", number)
    sheet.click("#take-it")
    sheet.wait_for_selector("#refused:visible")
    assert "gate" in sheet.text_content("#refused").casefold() or "fit to" in sheet.text_content("#refused").casefold()
    assert sheet.text_content("#figure").startswith("33.")


@pytest.mark.parametrize("width", [360, 1440])
def test_it_is_clean_by_axe_with_and_without_a_reading(sheet_at: Callable[..., Any], width: int) -> None:
    sheet = sheet_at(width)
    sheet.goto("/tap")
    axe_clean(sheet)
    _put_taps(sheet, EVEN)
    _shown_speed(sheet)
    axe_clean(sheet)
    assert not spills_sideways(sheet)


@pytest.mark.parametrize("width", [360, 1440])
def test_the_figure_is_huge(sheet_at: Callable[..., Any], width: int) -> None:
    # At 1 m a letter wants 1/200 of the distance: 5 mm, 19 px at 96 px an inch (common practice). We want thrice that.
    sheet = sheet_at(width)
    _put_taps(sheet, EVEN)
    _shown_speed(sheet)
    digits_px = sheet.evaluate("parseFloat(getComputedStyle(document.getElementById('figure')).fontSize) * 0.7")
    assert digits_px > 56
    assert sheet.evaluate("document.getElementById('figure').getBoundingClientRect().right") < width
