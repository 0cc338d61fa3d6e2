"""The deck's speed as the readings tell it, whichever way it was read."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.readings.reading import Reading
from spindlewright.readings.verdicts import MEASURE_THE_DISC, NOMINAL_DOUBT_PERCENT
from spindlewright.setup.next_moves.evidence import Evidence, verdict_of
from spindlewright.standards.jcgm_106_2012 import Verdict

USUAL_PERCENT = 0.3
"""Tighter than this is about proof, not audibility (common practice, no source); used where no limit is set."""
ORDER = ("speed_deviation", "rotation_rate", "speed_by_counted_turns")


@dataclass(frozen=True, slots=True)
class SpeedSeen:
    """Deviation from nominal in % with its 95 % uncertainty; the platter's rate in rpm where it is told."""

    percent: float
    uncertainty_percent: float
    nominal_rpm: float | None
    rpm: float | None
    verdict: Verdict
    reading: Reading

    @property
    def direction(self) -> str:
        """Which way to go: towards faster or towards slower."""
        return "towards faster" if self.percent < 0.0 else "towards slower"

    @property
    def ratio(self) -> float:
        """Speed over nominal speed."""
        return 1.0 + self.percent / 100.0

    @property
    def is_off(self) -> bool:
        """Off by more than can be told apart from right, and not within its limits."""
        return abs(self.percent) > self.uncertainty_percent and self.verdict != "within"

    @property
    def waits_for_the_disc(self) -> bool:
        """Whether only the disc's own error leaves the verdict open."""
        return self.verdict == "undecided" and self.reading.conditions.get("next_move") == MEASURE_THE_DISC


def speed_seen(evidence: Evidence) -> SpeedSeen | None:
    """The deck's speed; None when nothing tells it."""
    for quantity in _order(evidence):
        reading = evidence.main(quantity)
        seen = _of(reading, evidence) if reading is not None else None
        if seen is not None:
            return seen
    return None


def _order(evidence: Evidence) -> tuple[str, ...]:
    """Counted turns come first where the disc's tone is not known: they do not hang on it."""
    item = evidence.item("nominal_doubt")
    tone = evidence.main("speed_deviation")
    doubtful = item is not None and item.evidence.get("candidates_hz") and tone is not None
    return ORDER[::-1] if doubtful and tone is not None and abs(tone.value) > NOMINAL_DOUBT_PERCENT else ORDER


def speeds_by_setting(evidence: Evidence) -> dict[float, SpeedSeen]:
    """One speed for each nominal rate that was read, slowest first."""
    seen: dict[float, SpeedSeen] = {}
    for quantity in ("rotation_rate", "speed_by_counted_turns"):
        for reading in evidence.all(quantity):
            one = _of(reading, evidence) if reading.conditions.get("main") is not False else None
            if one is not None and one.nominal_rpm is not None:
                seen.setdefault(round(one.nominal_rpm, 2), one)
    return dict(sorted(seen.items()))


def _of(reading: Reading, evidence: Evidence) -> SpeedSeen | None:
    conditions = reading.conditions
    if reading.quantity == "speed_deviation":
        rate = evidence.main("rotation_rate")
        nominal = None if rate is None else rate.conditions.get("nominal_rpm")
        percent, uncertainty = reading.value, reading.uncertainty
        rpm = None if rate is None else rate.value
    else:
        nominal = conditions.get("nominal_rpm")
        if not nominal:
            return None
        percent = 100.0 * (reading.value / float(nominal) - 1.0)
        uncertainty, rpm = 100.0 * reading.uncertainty / float(nominal), reading.value
    verdict = reading.verdict
    if verdict is None:
        as_percent = reading if reading.quantity == "speed_deviation" else None
        usual = USUAL_PERCENT if as_percent else USUAL_PERCENT * float(nominal or 0.0) / 100.0
        middle = 0.0 if as_percent else float(nominal or 0.0)
        verdict = verdict_of(reading, middle - usual, middle + usual)
    return SpeedSeen(percent, uncertainty, None if nominal is None else float(nominal), rpm, verdict, reading)
