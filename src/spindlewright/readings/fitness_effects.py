"""Which readings a fitness ``stop`` spoils."""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side


def spared(readings: Sequence[Reading], fitness: Sequence[FitnessItem], side: Side) -> tuple[Reading, ...]:
    return tuple(readings)
