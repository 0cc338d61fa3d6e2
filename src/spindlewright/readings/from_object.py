"""Readings, findings and fitness items made again from the stored objects of the reading contract.

The way back from ``contract.reading_object`` and its kin, so that what was measured years ago can be compared and
advised on today. A stored budget does not keep the degrees of freedom of its lines; ``repeats`` makes good for it
from the uncertainty, which is kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Finding, Limit, Reading
from spindlewright.standards.jcgm_101_2008 import Contribution


def reading_from_object(stored: Mapping[str, Any]) -> Reading:
    """The reading that was stored; raises KeyError for an object that lacks a field of the contract.

    >>> line = {"name": "disc", "standard_uncertainty": 0.0577, "distribution": "rectangular"}
    >>> stored = {"quantity": "speed_deviation", "value": -0.8, "unit": "%", "uncertainty": 0.095, "coverage": 0.95,
    ...     "budget": [line], "channel": None, "band": 0, "method": "tone", "source": "derived", "method_version": 1,
    ...     "conditions": {"main": True}, "limit": {"low": -1.0, "high": 1.5, "source": "own"}, "verdict": "within"}
    >>> reading_from_object(stored)
    <speed_deviation: -0.8 ± 0.095 %, within>
    """
    limit = stored["limit"]
    return Reading(
        quantity=stored["quantity"],
        value=float(stored["value"]),
        unit=stored["unit"],
        uncertainty=float(stored["uncertainty"]),
        budget=tuple(
            Contribution(line["name"], float(line["standard_uncertainty"] or 0.0), line["distribution"])
            for line in stored["budget"]
        ),
        method=stored["method"],
        source=stored["source"],
        channel=stored["channel"],
        band=stored["band"],
        method_version=int(stored["method_version"]),
        conditions=dict(stored["conditions"]),
        limit=None if limit is None else Limit(limit["low"], limit["high"], limit["source"]),
        verdict=stored["verdict"],
        coverage=float(stored["coverage"]),
    )


def finding_from_object(stored: Mapping[str, Any]) -> Finding:
    """The finding that was stored."""
    return Finding(stored["code"], stored["message"], dict(stored.get("evidence") or {}), stored.get("band"))


def fitness_from_object(stored: Mapping[str, Any]) -> FitnessItem:
    """The remark on fitness that was stored."""
    return FitnessItem(
        stored["code"],
        stored["severity"],
        stored["message"],
        stored.get("channel"),
        dict(stored.get("evidence") or {}),
    )
