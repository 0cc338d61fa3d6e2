"""Before against after: has a quantity changed, and for the better?

Readings of one quantity, channel, tone and method are pooled for each state (``repeats``) and their difference is
held against its own 95 % interval. Errors that both states share count by what is left of them in the difference: the
disc's own error when the same disc was played, the recorder's clock when the same recorder was used. For quantities
that are best near zero, "better" is only said when it is also known on which side of zero the two lie.

A change smaller than its uncertainty is "no change shown", which is not the same as "no change".

Source: JCGM 101 (sums of independent errors), JCGM 100 F.1.2 (common errors) and G.4.1 (degrees of freedom), from
memory; the rule itself is common practice, no source. Status: derived; false alarms are held to 5 % by random draws in
tests/conformance/test_before_and_after.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from spindlewright.readings.better_direction import Better, better_direction, wanted_value
from spindlewright.readings.day_to_day import day_to_day, seating
from spindlewright.readings.reading import Channel, Reading
from spindlewright.readings.repeats import Pooled, Spread, pooled, scattered, spread_of
from spindlewright.readings.verdicts import DISC
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width
from spindlewright.wording import (
    SIGNED,
    subject,
    title,
    unit_in_words,
    upper_bound,
    value_with_uncertainty,
)

Outcome = Literal["better", "worse", "no change shown", "changed"]

OF_THE_DISC = frozenset({DISC, "groove spiral under the arm"})
"""Budget lines that are the same before and after when the same disc was played."""
OF_THE_RECORDER = frozenset({"clock"})
"""Budget lines that are the same before and after when the same recorder was used."""

SPEAKS_OF_THE_DISC_TOO = frozenset(
    {
        *("wow_flutter_weighted", "wow_flutter_weighted_quasi_peak", "wow_flutter_weighted_rms"),
        *("wow_flutter_unweighted", "wow", "flutter", "once_per_revolution", "channel_balance"),
        *("crosstalk_left_to_right", "crosstalk_right_to_left", "azimuth_error", "symmetric_crosstalk"),
        *("level_reference", "rumble_unweighted", "rumble_weighted", "surface_noise", "clicks_per_minute"),
        *("total_harmonic_distortion", "second_harmonic", "third_harmonic", "intermodulation"),
        *("response_deviation", "tracking_limit_left", "tracking_limit_right"),
    }
)
"""Quantities of which the disc's share is not in the budget: two discs can't be compared by them."""

ONE_TAKE_EACH = "one take each: three of each state show smaller changes more surely"

OTHER_WAY = "better the other way round, as when a lean is taken out and the two come nearer to each other"
_CROSSTALK = ("crosstalk_left_to_right", "crosstalk_right_to_left")

NOT_OF_THE_DECK = frozenset({"mains_frequency", "level_reference"})
"""Quantities that speak of the mains or of the recorder's gain; they are not compared."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """One quantity before and after.

    ``change`` is after minus before in ``unit`` and ``uncertainty`` the half-width of its 95 % interval; both None
    where one of the states is only known as a bound. ``frequency_hz`` is the nominal tone, None where it does not
    matter. ``sentence`` says it in words.
    """

    quantity: str
    channel: Channel | None
    frequency_hz: float | None
    method: str
    unit: str
    before: Pooled
    after: Pooled
    outcome: Outcome
    change: float | None
    uncertainty: float | None
    sentence: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NotCompared:
    """A quantity that was read in one state or in both, but can't be compared, and why."""

    quantity: str
    channel: Channel | None
    why: str


def compare(
    before: Sequence[Reading],
    after: Sequence[Reading],
    *,
    same_disc: bool | None = None,
    same_recorder: bool | None = None,
) -> tuple[Comparison, ...]:
    """All quantities that both states have, in the order of ``before``; repeats are simply given together.

    Of a recording with several bands the main one is compared (``conditions.main``). ``same_disc`` and
    ``same_recorder`` say whether both states used the same; None looks at ``conditions.test_disc`` and
    ``conditions.recorder`` of the readings, and counts the error of both states in full when they do not tell.

    >>> from spindlewright.standards.jcgm_101_2008 import rectangular
    >>> lines = (rectangular("disc", 0.1), Contribution("noise", 0.002))
    >>> def speed(value): return Reading("speed_deviation", value, "%", 0.095, lines, "tone", "derived")
    >>> compare([speed(-0.52)], [speed(-0.22)], same_disc=True, same_recorder=True)[0].outcome
    'better'
    >>> compare([speed(-0.52)], [speed(-0.518)], same_disc=True, same_recorder=True)[0].outcome
    'no change shown'
    """
    earlier, later = _grouped(before), _grouped(after)
    compared = []
    for key, readings in earlier.items():
        if key in later:
            compared.append(_compared(key, readings, later[key], same_disc, same_recorder))
    return _both_ways(compared)


def not_compared(before: Sequence[Reading], after: Sequence[Reading]) -> tuple[NotCompared, ...]:
    """What one state lacks, or what was read by another method or tone; nothing is left out in silence."""
    earlier, later = _grouped(before), _grouped(after)
    done = {(key.quantity, key.channel) for key in earlier.keys() & later.keys()}
    told: dict[tuple[str, Channel | None], NotCompared] = {}
    for mine, theirs, state in ((earlier, later, "after"), (later, earlier, "before")):
        for key in mine:
            subject = (key.quantity, key.channel)
            if subject in done or subject in told:
                continue
            others = [k for k in theirs if (k.quantity, k.channel) == subject]
            told[subject] = NotCompared(*subject, _why_not(key, others[0] if others else None, state))
    return tuple(told.values())


def _both_ways(compared: Sequence[Comparison]) -> tuple[Comparison, ...]:
    """Crosstalk better one way and worse the other is one thing, not two: it is said beside the worse one."""
    outcomes = {c.outcome for c in compared if c.quantity in _CROSSTALK}
    if not {"better", "worse"} <= outcomes:
        return tuple(compared)
    return tuple(
        replace(c, notes=(*c.notes, OTHER_WAY), sentence=f"{c.sentence[:-1]}; {OTHER_WAY}.")
        if c.quantity in _CROSSTALK and c.outcome == "worse"
        else c
        for c in compared
    )


@dataclass(frozen=True, slots=True)
class _Key:
    quantity: str
    channel: Channel | None
    frequency_hz: float | None
    method: str
    version: int


def _grouped(readings: Iterable[Reading]) -> dict[_Key, list[Reading]]:
    """Main readings by what makes them comparable. A bound joins the method that the others of its kind used."""
    groups: dict[_Key, list[Reading]] = {}
    mains = [r for r in readings if r.conditions.get("main") is not False and r.quantity not in NOT_OF_THE_DECK]
    for reading in mains:
        groups.setdefault(_key(reading), []).append(reading)
    return groups


def _key(reading: Reading) -> _Key:
    nominal = reading.conditions.get("nominal_hz") if reading.quantity in _BY_TONE else None
    if nominal is None and reading.quantity in _BY_TONE:
        nominal = reading.conditions.get("frequency_hz")
    frequency = None if nominal is None else round(float(nominal), 1)
    return _Key(reading.quantity, reading.channel, frequency, _method(reading), reading.method_version)


_BY_TONE = frozenset(
    {
        *("speed_deviation", "rotation_rate", "speed_drift", "channel_balance", "azimuth_error"),
        *("symmetric_crosstalk", "crosstalk_left_to_right", "crosstalk_right_to_left", "level_reference"),
    }
)
_ONE_METHOD = frozenset({"hum"})
"""Quantities whose method is worded otherwise when only a bound is known, but is the same."""


def _method(reading: Reading) -> str:
    return "" if reading.quantity in _ONE_METHOD else reading.method


def _why_not(key: _Key, other: _Key | None, state: str) -> str:
    if other is None:
        return f"not read {state}"
    if other.frequency_hz != key.frequency_hz:
        return f"read with a tone of {key.frequency_hz or 0:g} Hz, but {state} with {other.frequency_hz or 0:g} Hz"
    if other.method != key.method:
        return f"read by another method {state}: {other.method}"
    return (
        f"read by version {key.version} of the method, but {state} by version {other.version}; "
        "measure the earlier recording again"
    )


def _compared(
    key: _Key,
    before: Sequence[Reading],
    after: Sequence[Reading],
    same_disc: bool | None,
    same_recorder: bool | None,
) -> Comparison:
    disc = _same(before, after, "test_disc") if same_disc is None else same_disc
    recorder = _same(before, after, "recorder") if same_recorder is None else same_recorder
    bounds = any(r.conditions.get(name) for r in (*before, *after) for name in ("below_noise", "at_least"))
    spread = None if bounds else spread_of(before, after)
    first, second = pooled(before, spread), pooled(after, spread)
    method = next((r.method for r in (*before, *after) if not r.conditions.get("below_noise")), before[0].method)
    notes = list(_notes(first, second))
    change = uncertainty = None
    outcome: Outcome
    if disc is False and key.quantity in SPEAKS_OF_THE_DISC_TOO:
        outcome = "no change shown"
        notes.append("another disc was played, and this quantity speaks of the disc too")
    elif first.bound or second.bound:
        outcome = _outcome_of_bounds(key.quantity, first, second, coverage_half_width(day_to_day(before[0])))
    else:
        shared = (OF_THE_DISC if disc else frozenset()) | (OF_THE_RECORDER if recorder else frozenset())
        change = second.value - first.value
        drawn = (*_drawn(first, second, spread), *_seating(before, after), *day_to_day(before[0]))
        uncertainty = coverage_half_width((*drawn, *_standing(first, second, shared, -1.0)))
        best = wanted_value(key.quantity, before, after)
        outcome = "no change shown"
        if abs(change) > uncertainty:
            middle = 0.5 * (first.value + second.value) - best
            halved = [replace(c, standard_uncertainty=0.5 * c.standard_uncertainty) for c in drawn]
            around = coverage_half_width((*halved, *_standing(first, second, shared, 1.0)))
            outcome = _direction(better_direction(key.quantity, best), change, middle, around)
            if outcome == "changed" and better_direction(key.quantity, best) == "nearer":
                notes.append("which of the two lies nearer to what is wanted is not known well enough")
    sentence = _sentence(key, first, second, outcome, change, uncertainty, notes)
    return Comparison(
        key.quantity,
        key.channel,
        key.frequency_hz,
        method,
        first.unit,
        first,
        second,
        outcome,
        change,
        uncertainty,
        sentence,
        tuple(notes),
    )


def _same(before: Sequence[Reading], after: Sequence[Reading], condition: str) -> bool | None:
    """Whether both states name one and the same; None when not all of them name any."""
    named = {str(r.conditions[condition]) for r in (*before, *after) if r.conditions.get(condition)}
    if len(named) > 1:
        return False
    told = all(r.conditions.get(condition) for r in (*before, *after))
    return True if told else None


def _drawn(first: Pooled, second: Pooled, spread: Spread | None) -> tuple[Contribution, ...]:
    """What the difference of the means drew anew: by the scatter of the repeats, not less than the budgets allow."""
    takes = 1.0 / (1.0 / first.takes + 1.0 / second.takes)
    budgets = (*first.drawn_by_budget, *second.drawn_by_budget)
    return scattered(budgets, None if spread is None else spread.of_mean(takes))


def _standing(first: Pooled, second: Pooled, shared: frozenset[str], sign: float) -> tuple[Contribution, ...]:
    """Lines that stay in all takes: of after minus before (``sign`` −1), or of their middle (+1)."""
    factor = 1.0 if sign < 0.0 else 0.5
    lines: list[Contribution] = []
    earlier = {line.name: line for line in first.standing}
    later = {line.name: line for line in second.standing}
    for name in dict.fromkeys((*earlier, *later)):
        pair = (earlier.get(name), later.get(name))
        if name in shared and pair[0] is not None and pair[1] is not None:
            joint = abs(pair[1].standard_uncertainty + sign * pair[0].standard_uncertainty)
            lines.append(replace(pair[0], standard_uncertainty=factor * joint))
        else:
            lines += [replace(c, standard_uncertainty=factor * c.standard_uncertainty) for c in pair if c is not None]
    return tuple(lines)


def _seating(before: Sequence[Reading], after: Sequence[Reading]) -> tuple[Contribution, ...]:
    """How the disc lies in each state, when one of them has no repeats to show it."""
    if min(len(before), len(after)) > 1:
        return ()
    return (*seating(before[0]), *seating(after[0]))


def _direction(better: Better | None, change: float, middle: float, around: float) -> Outcome:
    """Which way a change that is shown goes; ``middle`` of both states lies at ± ``around`` from the best value."""
    if better == "lower":
        return "better" if change < 0.0 else "worse"
    if better == "higher":
        return "better" if change > 0.0 else "worse"
    if better == "nearer" and abs(middle) > around:
        return "better" if change * middle < 0.0 else "worse"
    return "changed"


def _outcome_of_bounds(quantity: str, first: Pooled, second: Pooled, day: float) -> Outcome:
    """The interval of one state clear of the bound of the other, by more than what differs from day to day."""
    better = better_direction(quantity, None)
    fell, rose = second.highest + day < first.lowest, second.lowest - day > first.highest
    if not fell and not rose:
        return "no change shown"
    if better not in ("lower", "higher"):
        return "changed"
    return "better" if fell == (better == "lower") else "worse"


def _notes(first: Pooled, second: Pooled) -> Iterable[str]:
    if first.takes == 1 and second.takes == 1:
        yield ONE_TAKE_EACH


def _sentence(
    key: _Key,
    first: Pooled,
    second: Pooled,
    outcome: Outcome,
    change: float | None,
    uncertainty: float | None,
    notes: Sequence[str],
) -> str:
    told = f"{name_in_words(key.quantity, key.channel)}: {in_words(first)} before, {in_words(second)} after: {outcome}"
    if outcome == "no change shown" and uncertainty is not None:
        _, least = value_with_uncertainty(0.0, uncertainty, first.unit)
        told += f"; less than {least} {unit_in_words(first.unit)} can't be seen here".replace(" °", "°")
    reasons = [note for note in notes if note != ONE_TAKE_EACH]
    return f"{told}; {'; '.join(reasons)}." if reasons else f"{told}."


def name_in_words(quantity: str, channel: Channel | None) -> str:
    """Title of a quantity that stands alone, outside the table that gives its subject.

    >>> name_in_words("wow_flutter_weighted", None), name_in_words("wow", None)
    ('Wow and flutter, weighted, two-sigma', 'Wow')
    """
    name = title(quantity, channel)
    heading = subject(quantity)
    return f"{heading}, {name[:1].lower()}{name[1:]}" if quantity.startswith("wow_flutter") else name


def in_words(state: Pooled) -> str:
    """Value of a pooled state as printed, with its bound or its uncertainty and unit.

    >>> in_words(Pooled("wow", 0.1234, "%", 0.0212, 3, (), ()))
    '0.123 ± 0.021 %'
    """
    unit = unit_in_words(state.unit)
    if state.bound == "upper":
        told = f"under {upper_bound(state.value, state.unit)} {unit}"
    elif state.bound == "lower":
        told = f"over {state.value:.4g} {unit}"
    else:
        signed = state.quantity in SIGNED
        told = f"{' ± '.join(value_with_uncertainty(state.value, state.uncertainty, state.unit, signed))} {unit}"
    return told.replace(" °", "°")
