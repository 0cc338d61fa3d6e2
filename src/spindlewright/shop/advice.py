"""What the readings of a job say: before against after, the next moves, the one sentence. All from pure rooms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.comparison import Comparison, NotCompared, compare, not_compared
from spindlewright.readings.from_object import fitness_from_object
from spindlewright.readings.reading import Reading
from spindlewright.setup.deck_abilities import DeckAbilities, deck_abilities
from spindlewright.setup.headline import Headline, headline
from spindlewright.setup.next_moves import Move, next_moves
from spindlewright.shop.views.job import DeckView
from spindlewright.shop.views.recordings import CaptureView, FindingView, ReadingView
from spindlewright.shop.views.stages import TITLES

ADVISED_STAGES = ("before", "work", "set_up", "after")


@dataclass(frozen=True, slots=True)
class Advice:
    """Comparisons, and by stage the next moves and the one sentence (stages without readings are left out).
    ``remarks`` say what could not be worked out."""

    comparisons: tuple[Comparison, ...] = ()
    not_compared: tuple[NotCompared, ...] = ()
    moves: Mapping[str, tuple[Move, ...]] = field(default_factory=dict)
    headlines: Mapping[str, Headline] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()


def advise(
    deck: DeckView,
    mains_hz: float,
    captures: Sequence[CaptureView],
    readings: Sequence[ReadingView],
    findings: Sequence[FindingView],
) -> Advice:
    """The advice for one job; withdrawn readings do not count."""
    abilities = abilities_of(deck, mains_hz)
    before, after = _of_stage(readings, "before"), _of_stage(readings, "after")
    moves: dict[str, tuple[Move, ...]] = {}
    headlines: dict[str, Headline] = {}
    remarks: list[str] = []
    for stage in ADVISED_STAGES:
        read = _of_stage(readings, stage)
        found = [view.finding for view in findings if view.stage == stage]
        fitness = fitness_of(captures, stage)
        if read or found or fitness:
            try:
                moves[stage] = next_moves(read, found, fitness, abilities)
                headlines[stage] = headline(read, found, fitness, abilities)
            except ValueError as problem:  # one odd reading must not close the whole card
                remarks.append(f"No next moves could be worked out from the readings of {TITLES[stage]}: {problem}")
    comparisons: tuple[Comparison, ...] = ()
    left_out: tuple[NotCompared, ...] = ()
    if before and after:
        try:
            comparisons, left_out = compare(before, after), not_compared(before, after)
        except ValueError as problem:
            remarks.append(f"Before and After could not be compared: {problem}")
    return Advice(comparisons, left_out, moves, headlines, tuple(remarks))


def abilities_of(deck: DeckView, mains_hz: float) -> DeckAbilities:
    """What can be turned on a deck, as the moves want to know it."""
    return deck_abilities(
        drive=deck.drive,
        motor=deck.motor,
        arm=deck.arm,
        automatic=deck.automatic,
        abilities=deck.abilities,
        dimensions=deck.dimensions,
        plate_voltage_v=deck.plate_voltage_v,
        plate_frequency_hz=deck.plate_frequency_hz,
        mains_hz=mains_hz,
    )


def fitness_of(captures: Sequence[CaptureView], stage: str) -> tuple[FitnessItem, ...]:
    """What was remarked on the recordings of a stage, by their newest measurings."""
    return tuple(
        fitness_from_object(item) for capture in captures if capture.stage == stage for item in capture.fitness
    )


def _of_stage(readings: Sequence[ReadingView], stage: str) -> list[Reading]:
    return [view.reading for view in readings if view.stage == stage and not view.withdrawn]
