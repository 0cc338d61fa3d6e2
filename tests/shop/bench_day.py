"""What a technician does again and again, for the tests of the shop."""

from __future__ import annotations

import io
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

import numpy as np
import soundfile

from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.gates import GATES, answer_gate
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.recordings import measured, take_in
from spindlewright.shop.store import Shop
from spindlewright.shop.tasks import NewTask, add_task
from spindlewright.shop.views.recordings import CaptureOptions, CaptureView

RATE_HZ = 8000


class BenchClock:
    """A clock that a test sets: one second on at every look."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at

    def pass_by(self, **length: float) -> None:
        self.at += timedelta(**length)


@cache
def tone_wav(seconds: float = 1.0, frequency_hz: float = 1000.0, serial: int = 0) -> bytes:
    """A recording of a tone in both channels; ``serial`` makes another file of it."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    sound = 0.3 * np.sin(2.0 * np.pi * frequency_hz * time_s + serial * 1e-3)
    out = io.BytesIO()
    soundfile.write(out, np.column_stack((sound, sound)), RATE_HZ, format="WAV", subtype="PCM_24")
    return out.getvalue()


def arrived(shop: Shop, **facts: Any) -> str:
    """A job with condition and agreement written down."""
    about = {"deck": "belt deck, unit 3", "complaint": "plays too slow", "owner_name": "Town library"}
    return new_job(shop, NewJob(**{**about, "condition": "lid scratched", "stop_sum": 80, **facts}))


def answer_all(shop: Shop, number: str, unlike: Mapping[str, str] | None = None) -> None:
    """Answer every gate with yes (or smooth), but for ``unlike``: question key to answer."""
    for gate in GATES:
        for question in gate.questions:
            usual = "yes" if "yes" in question.answers else question.answers[0]
            answer_gate(shop, number, gate.key, question.key, (unlike or {}).get(question.key, usual))


def at_before(shop: Shop, **facts: Any) -> str:
    """A job whose gates are all answered well."""
    number = arrived(shop, **facts)
    answer_all(shop, number)
    return number


def at_work(shop: Shop, **facts: Any) -> str:
    """A job with the owner's yes."""
    number = at_before(shop, **facts)
    give_go_ahead(shop, number, GoAhead("owner_yes", how="by telephone", sum=80))
    return number


def at_after(shop: Shop, **facts: Any) -> str:
    """A job on which something has been done."""
    number = at_work(shop, **facts)
    add_task(shop, number, NewTask("belt renewed"))
    return number


def taken_in(
    shop: Shop,
    number: str,
    stage: str = "before",
    name: str = "side-a.wav",
    serial: int = 0,
    options: CaptureOptions | None = None,
) -> CaptureView:
    """One recording taken in; each ``serial`` is another one."""
    sound = tone_wav(serial=serial + {"before": 0, "after": 1000}.get(stage, 2000))
    return take_in(shop, number, stage, name, io.BytesIO(sound), options)


def reading_object(quantity: str = "speed_deviation", value: float = -0.5, **fields: Any) -> dict[str, Any]:
    """A reading of the contract, written out by hand."""
    return {
        "quantity": quantity,
        "value": value,
        "unit": "%",
        "uncertainty": 0.04,
        "coverage": 0.95,
        "budget": [{"name": "noise", "standard_uncertainty": 0.0204, "distribution": "normal"}],
        "channel": None,
        "band": 0,
        "method": "straight line through the phase",
        "source": "derived",
        "method_version": 1,
        "conditions": {"main": True, "nominal_hz": 3150.0},
        "limit": {"low": -0.3, "high": 0.3, "source": "bench target"},
        "verdict": "outside",
        **fields,
    }


def measurement_object(*readings: dict[str, Any], **fields: Any) -> dict[str, Any]:
    """A measurement of the contract, written out by hand."""
    return {
        "capture": {
            "file": "side-a.wav",
            "sha256": "ab" * 32,
            "sample_rate_hz": RATE_HZ,
            "channels": 2,
            "duration_s": 1.0,
            "bits": 24,
        },
        "fitness": [],
        "bands": [],
        "readings": list(readings) or [reading_object()],
        "findings": [{"code": "off_centre", "message": "The disc is off centre.", "evidence": {"mm": 0.2}, "band": 0}],
        "curves": {"deviation": {"x": [0.0, 1.0], "x_unit": "s", "y": [0.1, 0.2], "y_unit": "%", "band": 0}},
        **fields,
    }


def measured_one(shop: Shop, number: str, stage: str = "before", serial: int = 0, **fields: Any) -> CaptureView:
    """A recording taken in, with a measurement that was written out by hand (the engine has tests of its own)."""
    options = fields.pop("options", None)
    view = taken_in(shop, number, stage, f"{stage}-{serial}.wav", serial, options)
    return measured(shop, view.id, measurement_object(**fields) if fields else measurement_object())
