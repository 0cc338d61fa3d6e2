"""The measurement as the object of the reading contract: the one line ``measure --json`` prints for a file.

Every field is always there; one that does not apply is None. Numbers are plain and finite: what has no finite
value (the level of a channel of pure zeros) is None too. Faces print this object, they compute nothing.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict, is_dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from spindlewright.bands.band import NOTHING_DBFS

if TYPE_CHECKING:
    from spindlewright.bands.band import Band
    from spindlewright.capture.fitness_item import FitnessItem
    from spindlewright.measurement import Measurement
    from spindlewright.readings.reading import Curve, Finding, Reading

JsonObject = dict[str, Any]


def to_json_object(measurement: Measurement) -> JsonObject:
    """The whole measurement; ``curves`` is None when none were asked for."""
    curves = measurement.curves
    return {
        "capture": capture_object(measurement.capture),
        "fitness": [fitness_object(item) for item in measurement.fitness],
        "bands": [band_object(band) for band in measurement.bands],
        "readings": [reading_object(reading) for reading in measurement.readings],
        "findings": [finding_object(finding) for finding in measurement.findings],
        "curves": None if curves is None else curve_objects(curves),
    }


def to_json_line(json_object: Mapping[str, Any]) -> str:
    """One line of JSON Lines, plain ASCII, without the line end."""
    return json.dumps(json_object, allow_nan=False, ensure_ascii=True)


def capture_object(capture: Any) -> JsonObject:
    """What was recorded: file name as given, hash, rate, channels, length, bits (None for coded formats)."""
    fields = ("file", "sha256", "sample_rate_hz", "channels", "duration_s", "bits")
    return {name: plain(getattr(capture, name)) for name in fields}


def fitness_object(item: FitnessItem) -> JsonObject:
    """One remark on whether the recording is fit to measure."""
    return {
        "code": item.code,
        "severity": item.severity,
        "channel": item.channel,
        "message": item.message,
        "evidence": plain(item.evidence),
    }


def band_object(band: Band) -> JsonObject:
    """One band; times to 0.1 s."""
    return {
        "index": int(band.index),
        "start_s": round(float(band.start_s), 1),
        "end_s": round(float(band.end_s), 1),
        "kind": band.kind,
        "frequency_hz": plain(band.frequency_hz),
        "nominal_hz": plain(band.nominal_hz),
        "from_hz": plain(band.from_hz),
        "to_hz": plain(band.to_hz),
        "level_dbfs": {"left": _level(band.level_dbfs.left), "right": _level(band.level_dbfs.right)},
        "layout_name": band.layout_name,
    }


def _level(dbfs: float) -> float | None:
    """A level in dBFS; None for a channel of zeros."""
    return float(dbfs) if dbfs > NOTHING_DBFS + 0.1 else None


def reading_object(reading: Reading) -> JsonObject:
    """One measured quantity with its uncertainty, budget, method, conditions, limit and verdict."""
    limit = reading.limit
    return {
        "quantity": reading.quantity,
        "value": plain(reading.value),
        "unit": reading.unit,
        "uncertainty": plain(reading.uncertainty),
        "coverage": plain(reading.coverage),
        "budget": [
            {
                "name": line.name,
                "standard_uncertainty": plain(line.standard_uncertainty),
                "distribution": line.distribution,
            }
            for line in reading.budget
        ],
        "channel": reading.channel,
        "band": plain(reading.band),
        "method": reading.method,
        "source": reading.source,
        "method_version": int(reading.method_version),
        "conditions": plain(reading.conditions),
        "limit": limit
        and {
            "low": plain(limit.low),
            "high": plain(limit.high),
            "source": limit.source,
        },
        "verdict": reading.verdict,
    }


def finding_object(finding: Finding) -> JsonObject:
    """Something noticed without a number."""
    return {
        "code": finding.code,
        "message": finding.message,
        "evidence": plain(finding.evidence),
        "band": plain(finding.band),
    }


def curve_objects(curves: Iterable[Curve]) -> JsonObject:
    """Curves by name. A name that comes again is told apart by its band, then by its channel."""
    named: JsonObject = {}
    for curve in curves:
        name = curve.name
        if name in named and curve.band is not None:
            name = f"{name}_band_{curve.band}"
        if name in named and curve.channel is not None:
            name = f"{name}_{curve.channel}"
        serial = 2
        stem = name
        while name in named:
            name, serial = f"{stem}_{serial}", serial + 1
        named[name] = {
            "x": plain(curve.x),
            "x_unit": curve.x_unit,
            "y": plain(curve.y),
            "y_unit": curve.y_unit,
            "band": plain(curve.band),
            "channel": curve.channel,
        }
    return named


def plain(value: Any) -> Any:
    """``value`` in what JSON knows: numpy scalars and arrays, mappings, dataclasses; not finite becomes None."""
    if value is None or isinstance(value, (bool, str, int)):
        return value
    if isinstance(value, (float, np.floating)):
        number = float(value)
        return number if math.isfinite(number) else None
    if isinstance(value, np.bool_):
        return bool(value)
    if isinstance(value, np.integer):
        return int(value)
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray):
        return [plain(item) for item in value.tolist()]
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, (set, frozenset)):
        return sorted((plain(item) for item in value), key=str)
    if is_dataclass(value) and not isinstance(value, type):
        return plain(asdict(value))
    return str(value)
