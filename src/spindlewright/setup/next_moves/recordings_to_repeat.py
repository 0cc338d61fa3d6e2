"""What must be recorded, counted or looked up again before anything is turned.

Fitness stops; a nominal frequency in doubt; a verdict that only the disc's own error leaves open; a deck measured
cold.
"""

from __future__ import annotations

import math

from spindlewright.capture.fitness_codes import FITNESS_CODES
from spindlewright.readings.reading import Reading
from spindlewright.readings.verdicts import MEASURE_THE_DISC, NOMINAL_DOUBT_PERCENT
from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move, caution_ids
from spindlewright.setup.next_moves.speed_seen import speed_seen
from spindlewright.wording import figures

KEY = "repeat"
STEPS = ("move.count_turns",)
SAID_ELSEWHERE = frozenset({"wrong_speed", "channel_dead", "mono", "hum_drowned", "inverted", "swapped"})
"""Stops that have a move of their own."""


LIFTS_BY_ITSELF = "This deck lifts by itself: use another deck for the run-out groove, or count turns by taps."
ENOUGH_PERCENT = 0.15
"""Half of what a serviced deck may be off (common practice, no source): counted turns that know it are enough."""


def nominal_in_doubt(evidence: Evidence) -> bool:
    """Whether the tone may be another one than was taken, so that the speed is not known to a few percent."""
    seen = speed_seen(evidence)
    item = evidence.item("nominal_doubt")
    return (
        item is not None
        and bool(item.evidence.get("candidates_hz"))
        and seen is not None
        and seen.reading.quantity != "speed_by_counted_turns"
        and abs(seen.percent) > NOMINAL_DOUBT_PERCENT
    )


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """All repeats asked for, the most pressing first."""
    return (
        *_fitness(evidence),
        *_nominal(evidence),
        *_disc(evidence),
        *_more_taps(evidence),
        *_cold(evidence),
    )


def _fitness(evidence: Evidence) -> tuple[Move, ...]:
    advised: dict[str, Move] = {}
    for item in evidence.fitness:
        if item.severity != "stop" or item.code in SAID_ELSEWHERE or item.code in advised:
            continue
        if item.code == "no_tone" and evidence.all("hum"):
            continue  # a recording of the arm on its rest is meant to have none
        entry = FITNESS_CODES.get(item.code)
        remedy = entry.remedy if entry else "Record again."
        advised[item.code] = Move(
            what="recording",
            direction="again",
            amount=None,
            unit=None,
            because=_clause(entry.meaning if entry else item.message),
            cautions=(),
            kind="repeat",
            key=KEY,
            words=_clause(remedy),
            channel=item.channel,
        )
    return tuple(advised.values())


def _nominal(evidence: Evidence) -> tuple[Move, ...]:
    item = evidence.item("nominal_doubt")
    seen = speed_seen(evidence)
    if item is None or seen is None or not nominal_in_doubt(evidence):
        return ()
    candidates = sorted(float(hz) for hz in item.evidence.get("candidates_hz", ()))
    found_hz = float(item.evidence.get("found_hz") or seen.reading.conditions.get("tone_hz") or 0.0)
    told = " or ".join(
        f"{figures(100.0 * (found_hz / hz - 1.0), 1, True)} % if it was cut at {hz:g} Hz" for hz in candidates
    )
    return (
        Move(
            what="disc",
            direction="look up",
            amount=None,
            unit=None,
            because=f"the disc's tone is not known: the speed is {told}" if told else "the disc's tone is not known",
            cautions=caution_ids(STEPS[0]),
            kind="repeat",
            key=KEY,
            words="read the tone's frequency on the disc's label and name the disc, or count the turns by taps",
            quantity=seen.reading.quantity,
            more=("Turn nothing until then.",),
        ),
    )


def _disc(evidence: Evidence) -> tuple[Move, ...]:
    seen = speed_seen(evidence)
    if seen is None or not seen.waits_for_the_disc or nominal_in_doubt(evidence):
        return ()
    return (
        Move(
            what="test disc",
            direction="measure",
            amount=None,
            unit=None,
            because="the disc's own speed error is not known well enough to call it",
            cautions=(),
            kind="repeat",
            key=KEY,
            words=MEASURE_THE_DISC,
            quantity=seen.reading.quantity,
            more=(
                "Its error, once known, holds for every job.",
                *((LIFTS_BY_ITSELF,) if evidence.deck.automatic else ()),
            ),
        ),
    )


def _more_taps(evidence: Evidence) -> tuple[Move, ...]:
    """Counted turns that leave the verdict open: their uncertainty falls as the turns to the power 3/2."""
    seen = speed_seen(evidence)
    if seen is None or seen.reading.quantity != "speed_by_counted_turns" or seen.verdict != "undecided":
        return ()
    taps = int(seen.reading.conditions.get("taps") or 10)
    wanted = math.ceil(taps * max(1.3, (seen.uncertainty_percent / ENOUGH_PERCENT) ** (2.0 / 3.0)) / 5.0) * 5
    spread = figures(seen.uncertainty_percent, 2 if seen.uncertainty_percent < 1.0 else 1)
    return (
        Move(
            what="taps",
            direction="more",
            amount=float(wanted),
            unit="turns",
            because=f"±{spread} % is too wide to call it",
            cautions=caution_ids(STEPS[0]),
            kind="repeat",
            key=KEY,
            words=f"go on tapping, {wanted} turns in all",
            quantity=seen.reading.quantity,
        ),
    )


def _cold(evidence: Evidence) -> tuple[Move, ...]:
    drift = evidence.main("speed_drift")
    cold = any(_is_cold(reading) for reading in evidence.readings)
    drifts = drift is not None and drift.verdict == "outside"
    if not cold and not drifts:
        return ()
    return (
        Move(
            what="deck",
            direction="warm up",
            amount=15.0,
            unit="min",
            because="it was measured cold" if cold else "the speed still moves",
            cautions=caution_ids(STEPS[0]),
            kind="repeat",
            key=KEY,
            words="let it run for 15 min and measure again before anything is turned",
            quantity="speed_drift" if drifts else None,
            more=("If it is slow only when cold, look at the bearing's oil first, not at the trim.",),
        ),
    )


def _clause(sentence: str) -> str:
    """A sentence as a clause: no capital in front, no full stop behind."""
    text = sentence.strip().rstrip(".")
    return text[:1].lower() + text[1:]


def _is_cold(reading: Reading) -> bool:
    """Whether the reading was taken from a cold deck; a gate that allows one short take says so in the conditions."""
    return any(isinstance(told, str) and told.startswith("cold") for told in reading.conditions.values())
