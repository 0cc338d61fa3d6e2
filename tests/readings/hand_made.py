"""Readings made by hand for tests: a value with named budget lines, as a method would give it."""

from __future__ import annotations

from typing import Any

from spindlewright.readings.reading import Channel, Reading
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width


def made(
    quantity: str,
    value: float,
    *lines: Contribution,
    unit: str = "%",
    channel: Channel | None = None,
    **conditions: Any,
) -> Reading:
    """A reading whose uncertainty is the 95 % half-width of its lines."""
    return Reading(
        quantity, value, unit, coverage_half_width(lines), lines, "by test", "made up", channel, conditions=conditions
    )
