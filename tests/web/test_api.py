"""The API: described by OpenAPI, no server error for anything sent, errors in one sentence."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.store import Shop
from spindlewright.web.app import create_app
from spindlewright.web.settings import WebSettings


def test_only_what_scripts_ask_is_described_and_nothing_is_fetched_from_outside(client: TestClient) -> None:
    described = client.get("/openapi.json").json()
    assert described["paths"]
    assert all(path.startswith("/api/") for path in described["paths"])
    assert client.get("/docs").status_code == client.get("/redoc").status_code == 404
    for path, methods in described["paths"].items():
        for method, operation in methods.items():
            assert operation.get("summary"), (method, path)
            assert "422" in operation["responses"], (method, path)


def test_the_speed_from_even_taps(client: TestClient) -> None:
    # 12 taps 1.5 s apart: 60/1.5 = 40 rpm, 20 % above 33⅓, without any scatter
    answer = client.post("/api/counted-turns", json={"tap_times_s": [1.5 * turn for turn in range(12)]})
    assert answer.status_code == 200
    told = answer.json()
    assert told["speed_rpm"] == pytest.approx(40.0, rel=1e-9)
    assert told["deviation_percent"] == pytest.approx(20.0, rel=1e-9)
    assert (told["taps"], told["turns"]) == (12, 11)
    assert [step["taps"] for step in told["course"]] == list(range(4, 13))
    spreads = [step["deviation_uncertainty_percent"] for step in told["course"]]
    assert spreads == sorted(spreads, reverse=True)


@pytest.mark.parametrize(
    ("taps", "words"),
    [
        ([0, 1.8, 3.6], "at least 4"),
        ([0, 1.8, 1.8, 5.4], "not later"),
        ([0, 1.8, "x", 5.4], "tap_times_s.2"),
        ([0, 1.8, 3.6, 1e9], "tap_times_s.3"),
    ],
)
def test_taps_that_give_no_speed_are_refused_in_one_sentence(client: TestClient, taps: list[Any], words: str) -> None:
    answer = client.post("/api/counted-turns", json={"tap_times_s": taps})
    assert answer.status_code == 422
    assert words in answer.json()["message"]


def test_errors_have_their_status(client: TestClient, shop: Shop) -> None:
    taps = {"tap_times_s": [0, 1.8, 3.6, 5.4, 7.2], "stage": "before"}
    assert client.post("/api/jobs/2026-9999/counted-turns", json=taps).status_code == 404
    number = new_job(shop, NewJob(deck="belt deck"))
    answer = client.post(f"/api/jobs/{number}/counted-turns", json=taps)
    assert answer.status_code == 409
    assert answer.json()["message"].endswith((".", "?"))
    kind = {"Content-Type": "application/json"}
    assert client.post("/api/jobs", content=b"{", headers=kind).status_code == 400
    assert client.post("/api/jobs", json={"deck": "   "}).status_code == 422
    assert client.delete("/api/jobs").status_code == 405


def test_a_job_by_script(client: TestClient) -> None:
    begun = client.post("/api/jobs", json={"deck": "belt deck", "complaint": "slow", "own_deck": True})
    assert begun.status_code == 201
    number = begun.json()["number"]
    found = client.get("/api/jobs", params={"words": "belt slow", "place": "on the bench"}).json()
    assert [line["number"] for line in found["jobs"]] == [number]
    assert found["counts"]["on the bench"] == found["total"] == 1


def test_whatever_is_sent_gives_no_server_error(shop: Shop) -> None:
    schemathesis = pytest.importorskip("schemathesis")
    from hypothesis import HealthCheck, Phase, given, settings
    from schemathesis.checks import not_a_server_error
    from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance

    new_job(shop, NewJob(deck="belt deck", own_deck=True))
    app = create_app(shop, WebSettings(host_names=frozenset({"testserver"}), measure=False))
    schema = schemathesis.openapi.from_asgi("/openapi.json", app)
    asked = 0
    for found in schema.get_all_operations():
        operation = found.ok()

        @given(case=operation.as_strategy())
        @settings(
            max_examples=25,
            deadline=None,
            database=None,
            derandomize=True,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        def ask(case: Any) -> None:
            nonlocal asked
            asked += 1
            case.call_and_validate(checks=[not_a_server_error, status_code_conformance, response_schema_conformance])

        ask()
    assert asked > 60
