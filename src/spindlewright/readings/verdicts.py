"""Limits and verdicts put onto readings (guard-banded, JCGM 106), and what an open verdict needs to be closed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Reading
from spindlewright.standards.jcgm_101_2008 import coverage_half_width
from spindlewright.standards.jcgm_106_2012 import decide
from spindlewright.standards.limits import LimitSet

DISC = "disc"
"""Name of the budget line of the disc's own error."""
MEASURE_THE_DISC = "measure this disc once against a run-out groove"
NOMINAL_DOUBT_PERCENT = 1.5
"""With nothing but one 3000/3150 Hz tone a speed error beyond this may be the other nominal (readings contract)."""


def judged(readings: Iterable[Reading], limits: LimitSet, fitness: Sequence[FitnessItem]) -> tuple[Reading, ...]:
    """The readings with the limit of their quantity and its verdict; without a limit both stay None."""
    doubtful = any(item.code == "nominal_doubt" for item in fitness)
    return tuple(_judge(reading, limits, doubtful) for reading in readings)


def _judge(reading: Reading, limits: LimitSet, nominal_doubt: bool) -> Reading:
    limit = limits.limit_for(reading.quantity, reading.conditions.get("frequency_hz"))
    if limit is None:
        return reading
    if reading.conditions.get("velocity_known") is False:
        return replace(reading, limit=limit)
    speed_percent = _speed_percent(reading)
    if nominal_doubt and speed_percent is not None and abs(speed_percent) > NOMINAL_DOUBT_PERCENT:
        return replace(reading, limit=limit)
    verdict = decide(reading.value, reading.uncertainty, limit.low, limit.high)
    if reading.conditions.get("below_noise") and limit.high is not None:
        # The value is already an upper bound: it may prove the limit kept, but never that it is passed.
        kept = decide(reading.value, 0.0, limit.low, limit.high) == "within"
        verdict = "within" if kept else "undecided"
    conditions = dict(reading.conditions)
    if verdict == "undecided":
        without_disc = [line for line in reading.budget if line.name != DISC]
        if len(without_disc) < len(reading.budget):
            narrower = coverage_half_width(without_disc, reading.coverage)
            if decide(reading.value, narrower, limit.low, limit.high) != "undecided":
                conditions["undecided_because"] = "the disc's own speed error is not known well enough"
                conditions["next_move"] = MEASURE_THE_DISC
    return replace(reading, limit=limit, verdict=verdict, conditions=conditions)


def _speed_percent(reading: Reading) -> float | None:
    if reading.quantity == "speed_deviation":
        return reading.value
    if reading.quantity == "rotation_rate" and "deviation_percent" in reading.conditions:
        return float(reading.conditions["deviation_percent"])
    return None
