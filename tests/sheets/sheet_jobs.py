"""Jobs for the tests of the sheets, walked through the shop's own services; the readings are written out by hand."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.functions import check_function
from spindlewright.shop.gates import GATES, answer_gate
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.hand_readings import typed_reading
from spindlewright.shop.handover import HandOver, hand_over
from spindlewright.shop.left_undone import leave_undone
from spindlewright.shop.listening import tick
from spindlewright.shop.recordings import measured, no_recording_possible, take_in
from spindlewright.shop.settings import ShopSettings, change_settings
from spindlewright.shop.soak import soak_run
from spindlewright.shop.store import Shop
from spindlewright.shop.tasks import NewTask, add_task

SETTINGS = ShopSettings("Bench of the tests", "Workshop lane, invented", "the test bench")
LIMIT = {"low": -0.3, "high": 0.3, "source": "bench target of the tests (common practice, no source)"}
HEBREW = "שלום"
MARKUP = '#panic("no") *bold* $x$ @ref <label> \\ // gone [x] = head "quoted"'
ODD = f"{MARKUP} {HEBREW} مرحبا \U0001fa97 日本 \x07\u202e end"


class BenchClock:
    """One minute on at every look."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(minutes=1)
        return self.at


def reading(quantity: str, value: float, unit: str, half: float, **fields: Any) -> dict[str, Any]:
    """A reading of the contract whose 95 % half-width is ``half``, from one normal line (half / 1.95996)."""
    return {
        "quantity": quantity,
        "value": value,
        "unit": unit,
        "uncertainty": half,
        "coverage": 0.95,
        "budget": [{"name": "noise", "standard_uncertainty": half / 1.959964, "distribution": "normal"}],
        "channel": None,
        "band": 0,
        "method": f"method of {quantity}",
        "source": "readings contract; derived",
        "method_version": 1,
        "conditions": {"main": True},
        "limit": None,
        "verdict": None,
        **fields,
    }


def speed(value: float, verdict: str) -> dict[str, Any]:
    """A speed held against ±0.3 %."""
    conditions = {"main": True, "nominal_hz": 3150.0}
    return reading("speed_deviation", value, "%", 0.04, limit=LIMIT, verdict=verdict, conditions=conditions)


def measure_by_hand(
    shop: Shop, number: str, stage: str, *readings: dict[str, Any], name: str = "", **more: Any
) -> None:
    """A recording taken in, with a measurement written out by hand."""
    view = take_in(shop, number, stage, name or f"{stage}.wav", io.BytesIO(f"{stage} {name}".encode()))
    capture = {"file": "", "sha256": "", "sample_rate_hz": 48_000, "channels": 2, "duration_s": 62.0, "bits": 24}
    curves = more.pop("curves", None)
    findings = more.pop("findings", [])
    measured(
        shop,
        view.id,
        {
            **{"capture": capture, "fitness": [], "bands": [], "readings": list(readings)},
            **{"findings": findings, "curves": curves},
        },
    )


def deviation_curve(size: float) -> dict[str, Any]:
    """A short curve of deviation over time."""
    x = [0.1 * step for step in range(60)]
    y = [size * ((step % 20) - 10) / 10 for step in range(60)]
    return {"deviation": {"x": x, "x_unit": "s", "y": y, "y_unit": "%", "band": 0, "channel": None}}


def open_shop(folder: Path) -> Shop:
    """The shop of these tests."""
    shop = Shop.open(folder, clock=BenchClock())
    change_settings(shop, SETTINGS)
    return shop


def gates(shop: Shop, number: str, unlike: dict[str, str] | None = None) -> None:
    """All gates answered well, but for ``unlike``."""
    for gate in GATES:
        for question in gate.questions:
            usual = "yes" if "yes" in question.answers else question.answers[0]
            answer_gate(shop, number, gate.key, question.key, (unlike or {}).get(question.key, usual))


def bare_job(shop: Shop) -> str:
    """Only what a new job needs."""
    return new_job(shop, NewJob(deck="a deck", complaint="no sound"))


def full_job(shop: Shop) -> str:
    """From arrival to handover, with something in every part."""
    number = new_job(
        shop,
        NewJob(
            deck="belt deck, unit 7",
            complaint="It plays too slow.",
            owner_name="Town library",
            serial="S-77",
            drive="belt",
            motor="servo",
            arm="pivoted",
            plate_voltage_v=230.0,
            condition="Lid scratched.",
            brought_with="mat",
            missing="one foot",
            stop_sum="80",
        ),
    )
    gates(shop, number)
    found = [{"code": "swapped", "message": "Left and right are exchanged.", "evidence": {}, "band": 0}]
    wow = ("wow_flutter_weighted", "%", 0.01)
    measure_by_hand(
        shop,
        number,
        "before",
        speed(-0.5, "outside"),
        reading(wow[0], 0.25, wow[1], wow[2]),
        reading("channel_balance", 0.512, "dB", 0.031),
        reading("start_time_of_tests", 3.0, "s", 0.2),
        findings=found,
        curves=deviation_curve(0.3),
    )
    typed_reading(shop, number, "before", "tracking_force", "2,9 g", "stylus scale of the tests")
    check_function(shop, number, "before", "start", "works")
    check_function(shop, number, "before", "lift_down", "does not", "drops")
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone", sum="60"))
    add_task(shop, number, NewTask("Belt renewed.", parts="flat belt", result="runs true"))
    add_task(shop, number, NewTask("Speed trimmed.", "set_up"))
    measure_by_hand(
        shop,
        number,
        "after",
        speed(-0.28, "undecided"),
        reading(wow[0], 0.1, wow[1], wow[2]),
        reading("channel_balance", 0.52, "dB", 0.031),
        curves=deviation_curve(0.1),
    )
    typed_reading(shop, number, "after", "tracking_force", "2,0 g", "stylus scale of the tests")
    check_function(shop, number, "after", "lift_down", "works")
    soak_run(shop, number, 90.0)
    tick(shop, number, "mono_voice")
    leave_undone(shop, number, "Lid", "the owner likes its scratches")
    hand_over(shop, number, HandOver("Town library", "the test bench", "55", "with its old belt"))
    return number


def huge_job(shop: Shop) -> str:
    """Long texts, long words, odd characters, many readings and many tasks."""
    long_word = "x" * 400
    number = new_job(
        shop,
        NewJob(
            deck=f"deck {ODD} {'w' * 60}"[:150],
            complaint=f"{ODD} {long_word} " + "It hums and thumps in quiet music. " * 60,
            owner_name=f"Library {HEBREW} {'o' * 80}",
            condition="scratched " * 200,
            serial="S" * 70,
            dimensions={"hub_mm": 160.0},
        ),
    )
    gates(shop, number)
    many = []
    for n in range(1, 61):
        limit = {**LIMIT, "source": f"source {n}"}
        key = f"quantity_{'of_the_tests_' * (n % 3)}{n}"
        many.append(reading(key, 0.1 * n, "dB", 0.02, limit=limit, verdict="outside"))
    measure_by_hand(shop, number, "before", *many, name=f"{'long-name-' * 12}.wav")
    give_go_ahead(shop, number, GoAhead("owner_yes", how=ODD))
    for n in range(40):
        add_task(shop, number, NewTask(f"Task {n} {ODD}", parts="p" * 90, result=ODD))
    measure_by_hand(shop, number, "after", *many[:30], name=f"{'later-name-' * 12}.wav")
    for n in range(12):
        leave_undone(shop, number, f"thing {n} {long_word[:90]}", ODD)
    return number


def job_without_cartridge(shop: Shop) -> str:
    """Came without a cartridge, and says so."""
    number = bare_job(shop)
    gates(shop, number, {"tip": "no"})
    no_recording_possible(shop, number, "before", "no cartridge")
    return number
