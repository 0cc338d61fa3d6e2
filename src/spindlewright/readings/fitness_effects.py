"""Which readings survive: what a fitness ``stop`` or an unknown playback chain takes away."""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.capture.fitness_codes import HUM, RUMBLE, spoils
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Finding, Reading
from spindlewright.readings.side import Side

NEEDS_THE_CHAIN = frozenset(RUMBLE + HUM)
"""Quantities that mean nothing until it is known whether the replay curve was in the path (readings contract)."""


def spared(readings: Sequence[Reading], fitness: Sequence[FitnessItem], side: Side) -> tuple[Reading, ...]:
    """The readings that no ``stop`` spoils, in their order."""
    return tuple(reading for reading in readings if not _is_spoiled(reading, fitness, side))


def chain_findings(readings: Sequence[Reading], side: Side) -> tuple[Finding, ...]:
    """Says what was held back because the playback chain is unknown."""
    held_back = sorted({reading.quantity for reading in readings if reading.quantity in NEEDS_THE_CHAIN})
    if side.chain != "unknown" or not held_back:
        return ()
    message = (
        "Stop for rumble and hum levels: it is not known whether a replay equaliser stood between cartridge and "
        "recorder. Say --chain riaa or --chain flat."
    )
    return (Finding("chain_unknown", message, {"held_back": held_back}),)


def _is_spoiled(reading: Reading, fitness: Sequence[FitnessItem], side: Side) -> bool:
    if side.chain == "unknown" and reading.quantity in NEEDS_THE_CHAIN:
        return True
    bands = (reading.band,) if reading.band is not None else tuple(reading.conditions.get("bands", ()))
    return any(spoils(item, reading.quantity, reading.channel, bands) for item in fitness)
