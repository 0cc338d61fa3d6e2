"""The one sentence a technician could say aloud: the main figure, its cause as far as known, and the move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.comparison import name_in_words
from spindlewright.readings.reading import Finding, Reading
from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.setup.next_moves import Move, next_moves
from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.speed_seen import SpeedSeen, speed_seen
from spindlewright.wording import figures, unit_in_words, value_with_uncertainty


@dataclass(frozen=True, slots=True)
class Headline:
    """``quantity`` is that of the figure in the sentence, None when it speaks of a finding."""

    sentence: str
    quantity: str | None


def headline(
    readings: Sequence[Reading],
    findings: Sequence[Finding] = (),
    fitness: Sequence[FitnessItem] = (),
    deck: DeckAbilities | None = None,
) -> Headline:
    """One sentence from the first of the next moves; the speed alone when nothing calls for a move.

    >>> from spindlewright.readings.counted_turns import counted_turns
    >>> taps = [0.0, 2.16, 4.32, 6.47, 8.64, 10.81, 12.96, 15.12]
    >>> deck = DeckAbilities(drive="belt", motor="synchronous", speed_trim="none")
    >>> headline([counted_turns(taps)], deck=deck).sentence  # doctest: +ELLIPSIS
    'It turns 16.685 ± 0.083 % slow (27.77 rpm): that is 5/6 of the right speed, so the pulley is that of 60 Hz...
    """
    evidence = Evidence(tuple(readings), tuple(findings), tuple(fitness), deck or DeckAbilities())
    moves = next_moves(readings, findings, fitness, deck)
    if not moves:
        return _nothing_to_do(evidence)
    first = moves[0]
    figure = figure_in_words(evidence, first)
    quantity = first.quantity if figure else None
    said = f"{figure}: {first.because}" if figure else first.because
    return Headline(f"{said[:1].upper()}{said[1:]}; {first.words}.", quantity)


def figure_in_words(evidence: Evidence, move: Move) -> str:
    """The reading a move rests on, as a clause; empty for a finding."""
    if move.quantity is None:
        return ""
    seen = speed_seen(evidence)
    if seen is not None and move.quantity == seen.reading.quantity:
        return speed_in_words(seen)
    readings = evidence.all(move.quantity, move.channel)
    if not readings:
        return ""
    if move.quantity == "hum":
        readings = [max(readings, key=lambda reading: reading.value)]
    reading = next((r for r in readings if r.conditions.get("main")), readings[-1])
    return reading_in_words(reading)


def speed_in_words(seen: SpeedSeen) -> str:
    """How the deck turns.

    >>> from spindlewright.readings.reading import Reading
    >>> reading = Reading("speed_deviation", -0.8123, "%", 0.0951, (), "tone", "derived")
    >>> speed_in_words(SpeedSeen(-0.8123, 0.0951, 100 / 3, 33.0626, "outside", reading))
    'it turns 0.812 ± 0.095 % slow (33.06 rpm)'
    """
    size, spread = value_with_uncertainty(abs(seen.percent), seen.uncertainty_percent, "%")
    rate = ""
    if seen.rpm is not None:
        rate = f" ({figures(seen.rpm, 2)} rpm)"
    if abs(seen.percent) <= seen.uncertainty_percent:
        return f"it turns at its speed within ±{spread} %{rate}"
    way = "slow" if seen.percent < 0.0 else "fast"
    return f"it turns {size} ± {spread} % {way}{rate}"


def reading_in_words(reading: Reading) -> str:
    """Any other reading as a clause: what it is, its figure with uncertainty, which side or way.

    >>> lean = Reading("azimuth_error", 1.21, "°", 0.18, (), "leaks", "derived")
    >>> reading_in_words(lean)
    'the headshell leans 1.21 ± 0.18° clockwise, seen from its front'
    """
    size, spread = value_with_uncertainty(abs(reading.value), reading.uncertainty, reading.unit)
    if reading.quantity == "azimuth_error":
        way = "clockwise" if reading.value > 0.0 else "counter-clockwise"
        return f"the headshell leans {size} ± {spread}° {way}, seen from its front"
    if reading.quantity == "channel_balance":
        return f"the {'left' if reading.value > 0.0 else 'right'} channel is {size} ± {spread} dB louder"
    value, _ = value_with_uncertainty(reading.value, reading.uncertainty, reading.unit)
    if reading.quantity == "hum" and reading.channel and not reading.conditions.get("below_noise"):
        return f"the {reading.channel} channel hums at {value} ± {spread} {reading.unit}"
    under = "under " if reading.conditions.get("below_noise") else ""
    told = f"{under}{value}" if under else f"{value} ± {spread}"
    return f"{name_in_words(reading.quantity, reading.channel)} is {told} {unit_in_words(reading.unit)}"


def _nothing_to_do(evidence: Evidence) -> Headline:
    seen = speed_seen(evidence)
    outside = [r for r in evidence.readings if r.verdict == "outside" and r.conditions.get("main") is not False]
    if outside:
        clause = reading_in_words(outside[0])
        said = f"{clause}, outside its limit; the cause can't be told from this alone"
        return Headline(f"{said[:1].upper()}{said[1:]}.", outside[0].quantity)
    if seen is None:
        if not evidence.readings:
            return Headline("Nothing could be read from this.", None)
        clause = reading_in_words(evidence.readings[0])
        return Headline(f"{clause[:1].upper()}{clause[1:]}, and nothing here calls for a move.", None)
    clause = speed_in_words(seen)
    open_verdict = " as far as this reading can tell" if seen.verdict == "undecided" else ""
    return Headline(
        f"{clause[:1].upper()}{clause[1:]}, and nothing here calls for a move{open_verdict}.", seen.reading.quantity
    )
