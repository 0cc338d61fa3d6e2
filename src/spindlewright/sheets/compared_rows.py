"""The table of readings before and after: figures as printed, limits with their marks, outcomes in words.

Figures that both stages have come from the comparison (repeats pooled). What only one stage has is pooled here by the
same function. Verdicts are those of the guard-banded rule on the pooled figures.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import groupby

from spindlewright.readings.comparison import ONE_TAKE_EACH, Comparison
from spindlewright.readings.hand_readings import METHOD as BY_HAND
from spindlewright.readings.reading import Limit, Reading
from spindlewright.readings.repeats import Pooled, pooled
from spindlewright.sheets.sheet_content import Figure, ReadingGroup, ReadingRow, Source
from spindlewright.shop.views.card import JobCard
from spindlewright.standards.jcgm_106_2012 import decide
from spindlewright.wording import (
    SIGNED,
    limit_in_words,
    order,
    subject,
    title,
    unit_in_words,
    upper_bound,
    value_with_uncertainty,
)

NOT_READ = Figure()
VERDICTS = {"within": "within", "outside": "outside", "undecided": "too close to call"}
DECISION_RULE = (
    "A figure is called within only when its whole 95 % interval lies inside the limit, outside only when its whole "
    "interval lies beyond it; else it is too close to call, because the interval reaches across the limit "
    "(guard-banded by JCGM 106:2012, guard band the half-width of the 95 % interval)."
)
_BOUND_WORDS = {"upper": "under", "lower": "over"}
_Key = tuple[str, str | None, str, str]
"""Quantity, channel, method and unit."""


def reading_groups(card: JobCard) -> tuple[tuple[ReadingGroup, ...], tuple[Source, ...]]:
    """All rows that were measured from recordings or counted, by subject, and the sources of their limits."""
    marks: dict[str, str] = {}
    rows = sorted(_rows(card), key=lambda row: order(row.quantity))
    groups = []
    for heading, several in groupby(rows, key=lambda row: subject(row.quantity)):
        groups.append(ReadingGroup(heading, tuple(_printed(row, marks) for row in several)))
    return tuple(groups), tuple(Source(mark, words) for words, mark in marks.items())


class _Row:
    """What a row is made of before it is worded."""

    def __init__(self, before: Pooled | None, after: Pooled | None, compared: Comparison | None) -> None:
        state = before or after
        assert state is not None
        self.quantity, self.channel, self.unit = state.quantity, state.channel, state.unit
        self.before, self.after, self.compared = before, after, compared
        self.limit_before: Limit | None = None
        self.limit_after: Limit | None = None


def _rows(card: JobCard) -> Iterable[_Row]:
    before, after = (_countable(card, stage) for stage in ("before", "after"))
    done = set()
    for compared in card.comparisons:
        if compared.method == BY_HAND:
            continue
        row = _Row(compared.before, compared.after, compared)
        _give_limits(row, before, after)
        done.add((compared.quantity, compared.channel))
        yield row
    earlier, later = _alone(before, done), _alone(after, done)
    for key in dict.fromkeys((*earlier, *later)):
        states = [pooled(found[key]) if key in found else None for found in (earlier, later)]
        row = _Row(states[0], states[1], None)
        _give_limits(row, before, after)
        yield row


def _countable(card: JobCard, stage: str) -> list[Reading]:
    """Main readings of a stage that are not read by hand."""
    return [
        view.reading
        for view in card.readings
        if view.stage == stage
        and not view.withdrawn
        and view.reading.method != BY_HAND
        and view.reading.conditions.get("main") is not False
    ]


def _alone(readings: Sequence[Reading], done: Collection[tuple[str, str | None]]) -> dict[_Key, list[Reading]]:
    """Readings without a comparison, by what makes them repeats of each other."""
    groups: dict[_Key, list[Reading]] = {}
    for reading in readings:
        if (reading.quantity, reading.channel) not in done:
            method = "" if reading.quantity == "hum" else reading.method
            groups.setdefault((reading.quantity, reading.channel, method, reading.unit), []).append(reading)
    return groups


def _give_limits(row: _Row, before: Sequence[Reading], after: Sequence[Reading]) -> None:
    row.limit_before, row.limit_after = (_limit(row, readings) for readings in (before, after))


def _limit(row: _Row, readings: Sequence[Reading]) -> Limit | None:
    """The limit that the readings behind a row were held against; None when they were given no verdict."""
    found = [r for r in readings if (r.quantity, r.channel) == (row.quantity, row.channel) and r.limit and r.verdict]
    return found[-1].limit if found else None


def _printed(row: _Row, marks: dict[str, str]) -> ReadingRow:
    limit = row.limit_after or row.limit_before
    mark = ""
    if limit is not None:
        mark = marks.setdefault(limit.source, chr(ord("a") + len(marks)) if len(marks) < 26 else str(len(marks) + 1))
    outcome, notes = "", []
    if row.compared is not None:
        outcome = row.compared.outcome
        if outcome == "no change shown" and row.compared.uncertainty is not None:
            least = value_with_uncertainty(0.0, row.compared.uncertainty, row.unit)[1]
            notes.append(f"less than {least} {unit_in_words(row.unit)} can't be seen".replace(" °", "°"))
        notes += [note for note in row.compared.notes if note != ONE_TAKE_EACH]
    return ReadingRow(
        title(row.quantity, row.channel),
        unit_in_words(row.unit),
        _figure(row.before, row.limit_before),
        _figure(row.after, row.limit_after),
        limit_in_words(limit.low, limit.high) if limit else "",
        mark,
        outcome,
        tuple(notes),
    )


def _figure(state: Pooled | None, limit: Limit | None) -> Figure:
    if state is None:
        return NOT_READ
    verdict = VERDICTS[verdict_of(state, limit)] if limit else ""
    if state.bound:
        size = upper_bound(state.value, state.unit) if state.bound == "upper" else f"{state.value:.4g}"
        return Figure(f"{_BOUND_WORDS[state.bound]} {size}".replace("-", "−"), "", verdict)
    value, spread = value_with_uncertainty(state.value, state.uncertainty, state.unit, state.quantity in SIGNED)
    return Figure(value, spread, verdict)


def verdict_of(state: Pooled, limit: Limit) -> str:
    """The guard-banded verdict on a pooled figure; a bound may prove a limit kept, but never that it is passed.

    >>> verdict_of(Pooled("wow", 0.19, "%", 0.02, 2, (), ()), Limit(None, 0.2, "own"))
    'undecided'
    """
    if state.bound is None:
        return decide(state.value, state.uncertainty, limit.low, limit.high)
    kept = decide(state.value, 0.0, limit.low, limit.high) == "within"
    open_side = limit.low if state.bound == "upper" else limit.high
    return "within" if kept and open_side is None else "undecided"
