"""A stored measurement whose curves are known in closed form, so that each figure of a chart has its witness.

Deviation: −0.5 % + 0.2 % sin(2π 0.55 t) over 60 s from 10 s on. By angle: 0.2 % cos(θ − 90°), the same each turn, and
0.1 % cos(4.5 θ), which comes back every second turn only. Spectrum: lines of 0.16 % at 2.5 Hz and 0.09 % at 5 Hz.
"""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np

TURNS = 20


def stored_reading(quantity: str, value: float, unit: str, uncertainty: float = 0.01, **more: Any) -> dict[str, Any]:
    """A reading as the store keeps it."""
    return {
        "quantity": quantity,
        "value": value,
        "unit": unit,
        "uncertainty": uncertainty,
        "coverage": 0.95,
        "budget": [],
        "channel": None,
        "band": 0,
        "method": "test",
        "source": "test",
        "method_version": 1,
        "conditions": {"main": True},
        "limit": None,
        "verdict": None,
        **more,
    }


def _curve(x: np.ndarray, x_unit: str, y: np.ndarray) -> dict[str, Any]:
    return {"x": x.tolist(), "x_unit": x_unit, "y": y.tolist(), "y_unit": "%", "band": 0, "channel": None}


def known_measurement() -> dict[str, Any]:
    """The whole object of the reading contract, as the store keeps it."""
    t = 10.0 + np.arange(0.0, 60.0, 0.02)
    theta = np.arange(2.5, 360.0 * TURNS, 5.0)
    repeats = 0.2 * np.cos(np.radians(theta - 90.0)) + 0.1 * np.cos(np.radians(4.5 * theta))
    f = np.arange(0.0, 250.0, 0.0625)
    spectrum = np.full_like(f, 0.0005)
    spectrum[[40, 80]] = 0.16, 0.09  # 2.5 and 5 Hz
    once = {"main": True, "rate_hz": 0.55, "other_lines": [], "below_noise": False}
    hum = {"main": True, "kind": "silence", "reference_dbfs": {"left": -18.0, "right": -20.0}}
    line = {"order": 1, "frequency_hz": 50.0, "level_dbfs": -70.0}
    third = {"order": 3, "frequency_hz": 150.0, "level_dbfs": -80.0}
    left = 10.0 * math.log10(10 ** (-5.2) + 10 ** (-6.2))
    stored = {
        "capture": {
            "file": "known.wav",
            "sha256": "ab" * 32,
            "sample_rate_hz": 96000,
            "channels": 2,
            "duration_s": 80.0,
            "bits": 24,
        },
        "fitness": [],
        "bands": [],
        "findings": [],
        "readings": [
            stored_reading("speed_deviation", -0.5, "%", 0.1),
            stored_reading("once_per_revolution", 0.2, "%", 0.001, conditions=once),
            stored_reading("azimuth_error", 2.0, "°", 0.02, band=None),
            stored_reading("hum", left, "dB", 0.3, channel="left", conditions=hum | {"lines": [line, third]}),
            stored_reading("hum", -50.0, "dB", 0.3, channel="right", conditions=hum | {"lines": [line]}),
        ],
        "curves": {
            "deviation": _curve(t, "s", -0.5 + 0.2 * np.sin(2.0 * np.pi * 0.55 * (t - 10.0))),
            "deviation_by_angle": _curve(theta, "°", repeats),
            "deviation_spectrum": _curve(f, "Hz", spectrum),
        },
    }
    return json.loads(json.dumps(stored))  # type: ignore[no-any-return]
