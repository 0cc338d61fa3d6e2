"""What the moves look at: readings, findings, fitness and the deck, with the questions they all ask."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Channel, Finding, Reading
from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.standards.jcgm_106_2012 import Verdict, decide

WRONG_WAY_ROUND = ("inverted", "swapped")


@dataclass(frozen=True, slots=True)
class Evidence:
    """One look at a deck. ``readings`` may come from a recording and by hand together."""

    readings: Sequence[Reading]
    findings: Sequence[Finding]
    fitness: Sequence[FitnessItem]
    deck: DeckAbilities

    def main(self, quantity: str, channel: Channel | None = None) -> Reading | None:
        """The headline reading of a quantity: of the main band, else the last one given."""
        found = self.all(quantity, channel)
        mains = [reading for reading in found if reading.conditions.get("main")]
        return (mains or found or [None])[-1]  # type: ignore[list-item]

    def all(self, quantity: str, channel: Channel | None = None) -> list[Reading]:
        """Every reading of a quantity, of one channel when that is named."""
        return [r for r in self.readings if r.quantity == quantity and channel in (None, r.channel)]

    def item(self, code: str) -> FitnessItem | None:
        """The fitness item of that code, a stop before a warning."""
        found = [item for item in self.fitness if item.code == code]
        return min(found, key=lambda item: item.severity != "stop", default=None)

    def told(self, code: str) -> bool:
        """Whether a finding or a fitness item of that code is there."""
        return any(one.code == code for one in self.findings) or self.item(code) is not None

    @property
    def wrong_way_round(self) -> str | None:
        """``inverted`` or ``swapped`` when the channels look so."""
        return next((code for code in WRONG_WAY_ROUND if self.told(code)), None)


def verdict_of(reading: Reading, usual_low: float | None, usual_high: float | None) -> Verdict:
    """The reading's verdict, or one against the trade's usual values where no limit was set."""
    if reading.verdict is not None:
        return reading.verdict
    if reading.conditions.get("below_noise"):
        return "within" if usual_high is None or reading.value <= usual_high else "undecided"
    return decide(reading.value, reading.uncertainty, usual_low, usual_high)


def shows(reading: Reading) -> bool:
    """Whether the reading tells more than its own uncertainty: a size that is not zero."""
    return abs(reading.value) > reading.uncertainty and not reading.conditions.get("below_noise")
