"""Finding what a chart needs in a stored measurement, the object that ``contract.py`` makes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from spindlewright.charts.chart import JsonObject


def curve_named(measurement: JsonObject, name: str, band: int | None = None) -> JsonObject | None:
    """The curve of this kind, of the given band or else the main one; None when it was not kept."""
    curves = measurement.get("curves") or {}
    found = [curve for key, curve in curves.items() if key == name or key.startswith(f"{name}_band_")]
    wanted = main_band(measurement) if band is None else band
    for curve in found:
        if (wanted is None or curve.get("band") == wanted) and len(points_of(curve)[0]) >= 2:
            return dict(curve)
    return None


def points_of(curve: JsonObject) -> tuple[np.ndarray, np.ndarray]:
    """x and y of a stored curve, without the points that have no value."""
    pairs = [(x, y) for x, y in zip(curve["x"], curve["y"], strict=True) if x is not None and y is not None]
    both = np.array(pairs, dtype=float).reshape(-1, 2)
    return both[:, 0], both[:, 1]


def values_alongside(alongside: JsonObject | None, name: str) -> np.ndarray:
    """y of the same curve of the measurement drawn beside; empty without."""
    curve = curve_named(alongside, name) if alongside is not None else None
    return np.empty(0) if curve is None else points_of(curve)[1]


def main_band(measurement: JsonObject) -> int | None:
    """The band the headline speed was read from."""
    for reading in measurement.get("readings") or ():
        if reading["quantity"] == "speed_deviation" and conditions_of(reading).get("main"):
            return None if reading["band"] is None else int(reading["band"])
    return None


def readings_of(readings: Iterable[JsonObject], quantity: str, band: int | None = None) -> list[JsonObject]:
    """Readings of one quantity; of one band when given."""
    return [r for r in readings if r["quantity"] == quantity and (band is None or r.get("band") == band)]


def main_reading(
    readings: Sequence[JsonObject], quantity: str, band: int | None = None, channel: str | None = None
) -> JsonObject | None:
    """The one reading that stands for the quantity: the main one, else the first."""
    found = [r for r in readings_of(readings, quantity, band) if channel is None or r.get("channel") == channel]
    mains = [r for r in found if conditions_of(r).get("main")]
    return next(iter(mains or found), None)


def conditions_of(reading: JsonObject) -> dict[str, Any]:
    """The conditions of a reading, empty when it has none."""
    return dict(reading.get("conditions") or {})
