"""The register of moves: one line a module, in the order in which a bench should think of them.

First what makes a reading worthless, then what explains it whole, then what a hand can turn, then where to look.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Finding, Reading
from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.setup.next_moves import (
    azimuth_roll,
    balance,
    drive,
    hum,
    lines_of_turning_parts,
    once_per_turn,
    other_mains_pulley,
    other_speed,
    recordings_to_repeat,
    rumble,
    speed_trim,
    symmetric_leak,
    wiring,
)
from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move

_MODULES = (
    other_speed,
    other_mains_pulley,
    recordings_to_repeat,
    speed_trim,
    drive,
    wiring,
    hum,
    balance,
    lines_of_turning_parts,
    once_per_turn,
    rumble,
    azimuth_roll,
    symmetric_leak,
)

BETTERMENTS = frozenset(
    {azimuth_roll.KEY, symmetric_leak.KEY, lines_of_turning_parts.KEY, once_per_turn.KEY, rumble.KEY}
)
"""Moves that wait for the others unless their reading is outside its limit."""

REGISTER: tuple[tuple[str, Callable[[Evidence], tuple[Move, ...]], tuple[str, ...]], ...] = tuple(
    (module.KEY, module.moves, tuple(module.STEPS)) for module in _MODULES
)
"""Key, function and steps of the table of cautions of each kind of move."""


def next_moves(
    readings: Sequence[Reading],
    findings: Sequence[Finding] = (),
    fitness: Sequence[FitnessItem] = (),
    deck: DeckAbilities | None = None,
) -> tuple[Move, ...]:
    """What to do next, the first thing first; empty when nothing calls for a move.

    ``readings`` of a recording and by hand may come together; ``deck`` says what it can turn (None: nothing known).

    >>> from spindlewright.readings.counted_turns import counted_turns
    >>> taps = [0.0, 2.16, 4.32, 6.47, 8.64, 10.81, 12.96, 15.12]
    >>> deck = DeckAbilities(drive="belt", motor="synchronous", speed_trim="none")
    >>> next_moves([counted_turns(taps)], deck=deck)[0].words
    'fit the pulley for 50 Hz'
    """
    evidence = Evidence(tuple(readings), tuple(findings), tuple(fitness), deck or DeckAbilities())
    advised = [move for _, moves, _ in REGISTER for move in moves(evidence)]
    return tuple(sorted(advised, key=lambda move: _can_wait(move, evidence)))


def _can_wait(move: Move, evidence: Evidence) -> bool:
    """Whether a move betters what no limit is set for, or is within it as far as can be told: after all others."""
    if move.key not in BETTERMENTS or move.quantity is None:
        return False
    return all(reading.verdict != "outside" for reading in evidence.all(move.quantity))
