"""What is shown of counted turns: the reading, how it grew more certain, and the next move, in figures and words."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from spindlewright.readings.counted_turns import LEAST_TAPS, TapsError, counted_turns
from spindlewright.readings.reading import Reading
from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.setup.headline import headline
from spindlewright.setup.next_moves import next_moves
from spindlewright.standards.cautions import caution
from spindlewright.web.filters import capital, unbroken
from spindlewright.wording import value_with_uncertainty

SHOWN_STEPS = 40


class CourseStep(BaseModel):
    """The deviation as it stood after that many taps."""

    taps: int
    deviation_percent: float
    deviation_uncertainty_percent: float


class AdvisedMove(BaseModel):
    """One next move with what to beware of."""

    words: str = Field(description="the instruction")
    more: str = Field(description="what belongs to it")
    because: str
    kind: str
    cautions: list[str]


class CountedTurns(BaseModel):
    """The speed from the taps. ``shown`` has the figures as they are to be read."""

    speed_rpm: float
    uncertainty_rpm: float = Field(description="half-width of the 95 % interval")
    nominal_rpm: float
    deviation_percent: float
    deviation_uncertainty_percent: float
    taps: int
    turns: int
    tap_scatter_s: float
    told: str = Field(description="a missed or double tap, in words; empty when there is none")
    doubt: str = Field(description="why this may not be the speed it seems; empty when there is no doubt")
    shown: dict[str, str]
    headline: str
    moves: list[AdvisedMove]
    course: list[CourseStep]


def counted(taps_s: Sequence[float], nominal_rpm: float, deck: DeckAbilities | None = None) -> CountedTurns:
    """What ``counted_turns`` and ``next_moves`` say of these taps. Raises TapsError (a sentence) as they do."""
    reading = counted_turns(taps_s, nominal_rpm)
    conditions = reading.conditions
    deviation, spread = _deviation(reading)
    speed, speed_spread = value_with_uncertainty(reading.value, reading.uncertainty, "rpm")
    off, off_spread = value_with_uncertainty(deviation, spread, "%", signed=True)
    return CountedTurns(
        speed_rpm=reading.value,
        uncertainty_rpm=reading.uncertainty,
        nominal_rpm=nominal_rpm,
        deviation_percent=deviation,
        deviation_uncertainty_percent=spread,
        taps=conditions["taps"],
        turns=conditions["turns"],
        tap_scatter_s=conditions["tap_scatter_s"],
        told=conditions.get("told", ""),
        doubt=conditions.get("doubt", ""),
        shown={"speed": speed, "uncertainty": speed_spread, "deviation": off, "deviation_uncertainty": off_spread},
        headline=unbroken(headline([reading], deck=deck).sentence),
        moves=[
            AdvisedMove(
                words=unbroken(f"{capital(move.words)}."),
                more=unbroken(" ".join(move.more)),
                because=unbroken(f"{move.because}."),
                kind=move.kind,
                cautions=[caution(one).text for one in move.cautions],
            )
            for move in next_moves([reading], deck=deck)
        ],
        course=_course(taps_s, nominal_rpm),
    )


def _course(taps_s: Sequence[float], nominal_rpm: float) -> list[CourseStep]:
    steps = []
    for count in range(max(LEAST_TAPS, len(taps_s) - SHOWN_STEPS + 1), len(taps_s) + 1):
        try:
            deviation, spread = _deviation(counted_turns(taps_s[:count], nominal_rpm))
        except TapsError:
            continue  # a slip that a later tap made clear
        steps.append(CourseStep(taps=count, deviation_percent=deviation, deviation_uncertainty_percent=spread))
    return steps


def _deviation(reading: Reading) -> tuple[float, float]:
    conditions = reading.conditions
    return conditions["deviation_percent"], conditions["deviation_uncertainty_percent"]
