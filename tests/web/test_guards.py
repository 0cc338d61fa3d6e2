"""The guards: foreign names, foreign pages, forms without their token, bodies too large, failures inside."""

from __future__ import annotations

import logging
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient
from web_tools import token_in

from spindlewright.shop.store import Shop
from spindlewright.web.app import create_app
from spindlewright.web.settings import WebSettings


def _themed(client: TestClient, **more: str) -> int:
    token = token_in(client.get("/cautions").text)
    return client.post(
        "/paper", data={"theme": "dark", "token": token}, follow_redirects=False, headers=more
    ).status_code


def test_a_form_with_its_token_is_taken(client: TestClient) -> None:
    assert _themed(client) == 303
    assert 'data-theme="dark"' in client.get("/cautions").text


def test_a_form_without_its_token_is_refused_with_a_page(client: TestClient) -> None:
    client.get("/cautions")
    for typed in ({"theme": "dark"}, {"theme": "dark", "token": "x" * 43}, {"theme": "dark", "token": "ä"}):
        answer = client.post("/paper", data=typed)
        assert answer.status_code == 403
        assert "load the page again" in answer.text
    assert 'data-theme="auto"' in client.get("/cautions").text


def test_the_token_of_another_browser_is_refused(shop: Shop, client: TestClient) -> None:
    with TestClient(client.app, base_url="http://localhost") as other:
        foreign = token_in(other.get("/cautions").text)
    client.get("/cautions")
    assert client.post("/paper", data={"theme": "dark", "token": foreign}).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://localhost:9999"},
        {"Origin": "https://localhost"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_change_asked_by_a_foreign_page_is_refused_even_with_a_token(
    client: TestClient, headers: dict[str, str]
) -> None:
    assert _themed(client, **headers) == 403


def test_a_change_asked_by_our_own_page_is_taken(client: TestClient) -> None:
    assert _themed(client, Origin="http://localhost", **{"Sec-Fetch-Site": "same-origin"}) == 303


@pytest.mark.parametrize("host", ["bench.example", "localhost.evil.example", "127.0.0.1.nip.example:80", ""])
def test_a_foreign_name_pointed_here_gets_no_page(client: TestClient, host: str) -> None:
    answer = client.get("/cautions", headers={"Host": host})
    assert answer.status_code == 400
    assert "Never lift" not in answer.text


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:8033", "127.0.0.1:1", "[::1]:8033", "192.168.1.20"])
def test_addresses_and_known_names_get_the_page(client: TestClient, host: str) -> None:
    assert client.get("/cautions", headers={"Host": host}).status_code == 200


def test_a_name_that_was_allowed_is_known(shop: Shop) -> None:
    app = create_app(shop, WebSettings(host_names=frozenset({"workshop.local"}), measure=False))
    with TestClient(app, base_url="http://workshop.local:8033") as client:
        assert client.get("/cautions").status_code == 200


def test_every_answer_carries_the_headers(client: TestClient) -> None:
    answers = [client.get(path) for path in ("/cautions", "/nowhere", "/static/look.css", "/api/nowhere")]
    answers += [client.post("/paper"), client.get("/cautions", headers={"Host": "bench.example"})]
    for answer in answers:
        policy = answer.headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'")
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"


def test_cookies_are_not_for_scripts_nor_for_other_sites(client: TestClient) -> None:
    cookie = client.get("/cautions").headers["set-cookie"].casefold()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_a_form_that_tells_it_is_too_large_is_refused_unread(client: TestClient) -> None:
    answer = client.post("/paper", data={"theme": "x" * 1_100_000})
    assert answer.status_code == 413
    assert "1 MB" in answer.text


def test_a_body_that_tells_no_size_is_counted(client: TestClient) -> None:
    def endless() -> Iterator[bytes]:
        for _ in range(40):
            yield b"x" * 65_536

    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    assert client.post("/paper", content=endless(), headers=kind).status_code == 413


@pytest.mark.parametrize("kind", ["text/plain", "", "text/html"])
def test_what_a_foreign_page_could_send_without_asking_is_refused(client: TestClient, kind: str) -> None:
    answer = client.post("/api/counted-turns", content=b"{}", headers={"Content-Type": kind})
    assert answer.status_code == 415


def test_an_unknown_page_is_told_in_a_sentence_and_to_scripts_as_json(client: TestClient) -> None:
    assert "There is no such page" in client.get("/nowhere").text
    assert client.get("/api/nowhere").json()["message"].startswith("There is no such page")
    assert client.get("/paper").status_code == 405


def test_a_failure_inside_is_logged_and_shown_without_its_traceback(
    client: TestClient, caplog: pytest.LogCaptureFixture
) -> None:
    app = client.app
    assert isinstance(app, FastAPI)

    @app.get("/fails")
    def fails() -> None:
        raise ZeroDivisionError("secret detail")

    with caplog.at_level(logging.ERROR):
        answer = client.get("/fails")
    assert answer.status_code == 500
    assert "itself failed" in answer.text
    assert "secret detail" not in answer.text
    assert "Traceback" not in answer.text
    assert "secret detail" in caplog.text
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")


def test_what_was_typed_is_shown_again_when_it_is_not_taken(client: TestClient) -> None:
    token = token_in(client.get("/cautions").text)
    answer = client.post("/paper", data={"theme": "sepia", "back": "/cautions", "token": token})
    assert answer.status_code == 422
    assert "found &#39;sepia&#39;, allowed are auto, light, dark" in answer.text
    assert "What you typed" in answer.text


def test_no_redirect_leads_away(client: TestClient) -> None:
    token = token_in(client.get("/cautions").text)
    for back in ("https://evil.example/", "//evil.example/", "/\\evil.example", "javascript:alert(1)"):
        typed = {"theme": "dark", "back": back, "token": token}
        assert client.post("/paper", data=typed, follow_redirects=False).headers["location"] == "/"
