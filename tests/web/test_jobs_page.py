"""The jobs list and a new job, by keyboard alone, with and without JavaScript."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from served_bench import Bench
from starlette.testclient import TestClient
from web_tools import token_in, until

from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.job_card import job_card
from spindlewright.shop.jobs_list import jobs
from spindlewright.shop.store import Shop
from system_packages import needs

DECKS = ("belt deck, unit 1", "idler deck, unit 2", "automatic, unit 3")


@pytest.fixture
def numbers(shop: Shop) -> list[str]:
    return [new_job(shop, NewJob(deck=deck, complaint=f"complaint {i}")) for i, deck in enumerate(DECKS)]


def test_an_empty_shop_begins_at_the_first_run_page(client: TestClient) -> None:
    answer = client.get("/")
    assert answer.url.path == "/start"
    for way in ("/tap", "/new", "/settings", "/cautions"):
        assert f'href="{way}"' in answer.text


def test_the_list_shows_every_open_job_with_its_next_step(client: TestClient, shop: Shop, numbers: list[str]) -> None:
    html = client.get("/").text
    for row in jobs(shop).rows:
        assert f'href="/jobs/{row.number}"' in html
        assert row.deck in html
        assert row.complaint in html


def test_words_and_places_narrow_it(client: TestClient, numbers: list[str]) -> None:
    assert client.get("/", params={"words": "IDLER unit"}).text.count("data-row") == 1
    assert client.get("/", params={"words": "unit"}).text.count("data-row") == 3
    assert "No job is ready" in client.get("/", params={"place": "ready"}).text
    assert client.get("/", params={"place": "all"}).text.count("data-row") == 3


@pytest.mark.parametrize("words", ["<script>alert(1)</script>", "%", "_", "'", '"', "\\", "ß" * 200, "\x00"])
def test_odd_words_find_nothing_and_break_nothing(client: TestClient, numbers: list[str], words: str) -> None:
    answer = client.get("/", params={"words": words, "place": "nowhere", "start": "7"})
    assert answer.status_code == 200
    assert "<script>alert" not in answer.text


def test_a_job_that_ends_in_a_script_stays_text(client: TestClient, shop: Shop) -> None:
    new_job(shop, NewJob(deck="<img src=x onerror=alert(1)>", complaint="</textarea><script>alert(1)</script>"))
    html = client.get("/").text
    assert "<img src=x" not in html
    assert "<script>alert" not in html


def test_what_can_t_be_taken_is_shown_in_the_form_with_all_that_was_typed(client: TestClient, shop: Shop) -> None:
    token = token_in(client.get("/new").text)
    typed = {"deck": "belt deck", "complaint": "too slow", "stop_sum": "much", "missing": "lid", "token": token}
    answer = client.post("/new", data=typed)
    assert answer.status_code == 422
    assert "stop sum: found" in answer.text
    for words in ("belt deck", "too slow", "much", "lid"):
        assert words in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert jobs(shop).total == 0


def test_everything_typed_is_kept(client: TestClient, shop: Shop) -> None:
    token = token_in(client.get("/new").text)
    typed = {
        **{"deck": "belt deck", "complaint": "too slow", "owner_name": "reading room", "owner_contact": "desk 2"},
        **{"serial": "A 17", "drive": "belt", "motor": "dc", "arm": "pivoted", "speed_trim": "per_speed"},
        **{"condition": "lid scratched", "brought_with": "lead", "missing": "mat"},
        **{"look_over_fee": "12,50", "stop_sum": "80", "token": token},
    }
    answer = client.post("/new", data=typed, follow_redirects=False)
    assert answer.status_code == 303
    card = job_card(shop, answer.headers["location"].rpartition("/")[2])
    assert (card.deck.description, card.deck.serial, card.deck.drive) == ("belt deck", "A 17", "belt")
    assert card.deck.abilities["speed_trim"] == "per_speed"
    assert (card.owner.name, card.owner.contact) == ("reading room", "desk 2")
    assert (card.job.look_over_fee, card.job.stop_sum) == (Decimal("12.5"), Decimal(80))
    assert (card.job.condition, card.job.brought_with, card.job.missing) == ("lid scratched", "lead", "mat")


def test_settings_are_kept_and_a_bad_one_is_told(client: TestClient) -> None:
    token = token_in(client.get("/settings").text)
    typed = {
        **{"shop_name": "Bench Four", "shop_address": "Mill Lane 2\nLower Town", "stands_for_it": "the technician"},
        **{"mains_voltage_v": "230", "mains_frequency_hz": "49,9", "currency": "EUR", "paper": "letter"},
        **{"limits": "bench-belt", "recorder": "grey interface", "token": token},
    }
    assert client.post("/settings", data=typed).url.query == b"kept=1"
    html = client.get("/settings").text
    assert "Bench Four" in html
    assert 'value="49.9"' in html
    wrong = client.post("/settings", data={**typed, "mains_frequency_hz": "fifty"})
    assert wrong.status_code == 422
    assert "mains frequency: &#39;fifty&#39; is not a number" in wrong.text
    assert "Lower Town" in wrong.text


@needs("chromium")
def test_a_new_job_by_keyboard_alone_needs_three_keys_beside_the_words(sheet: Any, bench: Bench, shop: Shop) -> None:
    """Under 30 s: at 200 characters a minute, a slow typist's speed, the 66 strokes counted here take 20 s."""
    new_job(shop, NewJob(deck="the one before"))
    sheet.goto("/")
    strokes = 0

    def press(*keys: str) -> None:
        nonlocal strokes
        for key in keys:
            strokes += 1
            sheet.keyboard.press(key)

    press("n")
    sheet.wait_for_selector("#deck:focus")
    press(*"belt deck, black, unit 9")
    press("Tab")
    press(*"runs slow since the move, left side hums")
    press("Tab", "Enter")
    sheet.wait_for_url("**/jobs/*")
    found = jobs(shop, "unit 9").rows
    assert [row.complaint for row in found] == ["runs slow since the move, left side hums"]
    assert strokes - len("belt deck, black, unit 9") - len(found[0].complaint) == 4
    assert strokes / (200.0 / 60.0) < 30.0


@needs("chromium")
def test_a_deck_that_was_here_before_is_offered_and_used_again(sheet: Any, shop: Shop) -> None:
    first = new_job(shop, NewJob(deck="idler deck, grey", serial="B 7", drive="idler"))
    sheet.goto("/new")
    sheet.fill("#deck", "grey idler")
    until(sheet, "document.querySelectorAll('#known-decks option').length === 1")
    sheet.fill("#deck", sheet.get_attribute("#known-decks option", "value"))
    assert sheet.is_visible("#known")
    sheet.fill("#complaint", "thumps again")
    sheet.keyboard.press("Control+Enter")
    sheet.wait_for_url("**/jobs/*")
    again = jobs(shop, "thumps again").rows[0].number
    assert job_card(shop, again).deck.id == job_card(shop, first).deck.id
    assert job_card(shop, again).deck.drive == "idler"
    sheet.goto("/new")
    sheet.fill("#deck", "grey idler, another")
    sheet.keyboard.press("Control+Enter")
    sheet.wait_for_url("**/jobs/*")
    assert job_card(shop, jobs(shop, "another").rows[0].number).deck.id != job_card(shop, first).deck.id


@needs("chromium")
def test_control_enter_begins_the_job_from_the_owner_s_words(sheet: Any, shop: Shop) -> None:
    sheet.goto("/new")
    sheet.wait_for_selector("#deck:focus")
    sheet.keyboard.type("belt deck")
    sheet.keyboard.press("Tab")
    sheet.keyboard.type("hums")
    sheet.keyboard.press("Control+Enter")
    sheet.wait_for_url("**/jobs/*")
    assert jobs(shop).rows[0].complaint == "hums"


@needs("chromium")
def test_search_while_typing_arrows_and_enter(sheet: Any, numbers: list[str]) -> None:
    sheet.goto("/")
    sheet.keyboard.press("/")
    assert sheet.evaluate("document.activeElement.id") == "words"
    sheet.keyboard.type("unit")
    sheet.wait_for_url("**/?words=unit")
    assert sheet.locator("[data-row]").count() == 3
    sheet.keyboard.type(" idl")
    until(sheet, "document.querySelectorAll('[data-row]').length === 1")
    sheet.keyboard.press("ArrowDown")
    sheet.keyboard.press("Enter")
    sheet.wait_for_url(f"**/jobs/{numbers[1]}")


@needs("chromium")
def test_arrows_go_down_and_back_up_to_the_search(sheet: Any, numbers: list[str]) -> None:
    sheet.goto("/")
    newest_first = [f"/jobs/{number}" for number in reversed(numbers)]
    seen = []
    for _ in range(4):
        sheet.keyboard.press("ArrowDown")
        seen.append(sheet.evaluate("document.activeElement.getAttribute('href')"))
    assert seen == [*newest_first, newest_first[-1]]
    for _ in range(3):
        sheet.keyboard.press("ArrowUp")
    assert sheet.evaluate("document.activeElement.id") == "words"


@needs("chromium")
def test_without_javascript_it_searches_and_takes_a_job(
    sheet_at: Callable[..., Any], shop: Shop, numbers: list[str]
) -> None:
    sheet = sheet_at(java_script_enabled=False)
    sheet.goto("/")
    sheet.fill("#words", "unit 3")
    sheet.press("#words", "Enter")
    assert sheet.locator("[data-row]").count() == 1
    sheet.click("a.button.first")
    sheet.fill("#deck", "deck without script")
    sheet.click("button.first >> nth=0")
    assert jobs(shop, "without script").total == 1
