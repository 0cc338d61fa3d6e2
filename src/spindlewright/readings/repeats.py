"""Repeats of one state pooled: the mean of several takes, with the spread from take to take in its uncertainty.

Lines of the budget that stay the same in every take (the disc's own error, the recorder's clock, a filter's shape) do
not shrink by repeating. What changes from take to take does, and is judged by the takes' own scatter with Student's t,
never by less than the budgets themselves allow.

Source: JCGM 101 6.4.9 (mean of repeats); JCGM 100 4.2 and 4.3 (from memory). Three takes of a state are the trade's
advice (common practice, no source). Status: derived.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from spindlewright.readings.reading import Channel, Reading
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, mean_of_repeats

BETWEEN_TAKES = "between takes"
"""Name of the budget line that the takes' own scatter gives."""

BEYOND_THE_BUDGET = "stated beyond the budget"

CHANGES_FROM_TAKE_TO_TAKE = frozenset(
    {
        *("noise", "noise, left band", "noise, right band", "length", "random flutter", "centre", "ends", "counting"),
        *("length of the band", "lines lost in noise", "following the mains", "neighbouring lines", "taps"),
        *("speed, by where in a turn the band begins", "speed, by where in a turn the band ends"),
        *("speed between the bands", "hum line at the tone", "reference level", "last digit", BEYOND_THE_BUDGET),
    }
)
"""Budget lines that each take draws anew. A line not named here is taken to stay the same in all takes."""

_Lines = tuple[Contribution, ...]


@dataclass(frozen=True, slots=True)
class Pooled:
    """Several takes of one quantity in one state of the deck.

    ``value`` is their mean, ``uncertainty`` the half-width of its 95 % interval. ``drawn`` are the budget lines of
    the mean that each take draws anew (``drawn_by_budget`` as the budgets have it), ``standing`` those that stay.
    ``spread`` is the standard deviation of one take
    as the takes show it, None with a single take. ``bound`` is "upper" ("lower") when the value is only known to lie
    below (above) ``value``.
    """

    quantity: str
    value: float
    unit: str
    uncertainty: float
    takes: int
    drawn: _Lines
    standing: _Lines
    spread: float | None = None
    channel: Channel | None = None
    bound: str | None = None
    drawn_by_budget: _Lines = ()

    @property
    def lowest(self) -> float:
        """Lower end of the 95 % interval; minus infinity under an upper bound."""
        return -math.inf if self.bound == "upper" else self.value - self.uncertainty

    @property
    def highest(self) -> float:
        """Upper end of the 95 % interval; infinity over a lower bound."""
        if self.bound == "lower":
            return math.inf
        return self.value if self.bound == "upper" else self.value + self.uncertainty


def pooled(readings: Sequence[Reading]) -> Pooled:
    """Mean of repeats of one state.

    All readings must be of one quantity, channel and unit; which of them belong together (one band, one method) is
    the caller's to say. Raises ValueError for none at all and for mixed quantities.

    >>> from spindlewright.standards.jcgm_101_2008 import rectangular
    >>> line = (rectangular("disc", 0.1),)
    >>> takes = [Reading("speed_deviation", v, "%", 0.095, line, "tone", "derived") for v in (-0.81, -0.80, -0.82)]
    >>> three = pooled(takes)
    >>> three.takes, round(three.value, 3), round(three.uncertainty, 3)
    (3, -0.81, 0.098)
    """
    if not readings:
        raise ValueError("repeats to pool: found none, at least one reading is needed")
    first = readings[0]
    for other in readings:
        if (other.quantity, other.channel, other.unit) != (first.quantity, first.channel, first.unit):
            raise ValueError(
                f"repeats to pool: found {first!r} and {other!r}; pool one quantity of one channel at a time"
            )
    values = [reading.value for reading in readings]
    if any(reading.conditions.get("below_noise") for reading in readings):
        return _bounded(readings, "upper")
    if any(reading.conditions.get("at_least") for reading in readings):
        return _bounded(readings, "lower")
    n = len(readings)
    by_budget, standing = _split(readings)
    drawn = by_budget
    spread = None
    if n > 1:
        between = mean_of_repeats(BETWEEN_TAKES, values)
        spread = between.standard_uncertainty * math.sqrt(n)
        if coverage_half_width([between]) >= coverage_half_width(drawn):
            drawn = (between,)
    return Pooled(
        first.quantity,
        math.fsum(values) / n,
        first.unit,
        coverage_half_width((*drawn, *standing)),
        n,
        drawn,
        standing,
        spread,
        first.channel,
        None,
        by_budget,
    )


def _bounded(readings: Sequence[Reading], bound: str) -> Pooled:
    """Takes of which one or more are only bounds: the farthest bound of all of them."""
    first = readings[0]
    if bound == "upper":
        ends = [r.value if r.conditions.get("below_noise") else r.value + r.uncertainty for r in readings]
        value = max(ends)
    else:
        ends = [r.value - (0.0 if r.conditions.get("at_least") else r.uncertainty) for r in readings]
        value = min(ends)
    return Pooled(first.quantity, value, first.unit, 0.0, len(readings), (), (), None, first.channel, bound)


def _split(readings: Sequence[Reading]) -> tuple[_Lines, _Lines]:
    """Budget lines of the mean: drawn anew in each take (shrunk by the number of takes), and standing."""
    n = len(readings)
    drawn: dict[str, list[Contribution]] = {}
    standing: dict[str, list[Contribution]] = {}
    for reading in readings:
        for line in _whole_budget(reading):
            place = drawn if line.name in CHANGES_FROM_TAKE_TO_TAKE else standing
            place.setdefault(line.name, []).append(line)
    shrunk = [_joined(lines, math.sqrt(sum(c.standard_uncertainty**2 for c in lines)) / n) for lines in drawn.values()]
    kept = [_joined(lines, sum(c.standard_uncertainty for c in lines) / n) for lines in standing.values()]
    return tuple(shrunk), tuple(kept)


def _joined(lines: Sequence[Contribution], standard_uncertainty: float) -> Contribution:
    return replace(lines[0], standard_uncertainty=standard_uncertainty)


def _whole_budget(reading: Reading) -> _Lines:
    """The budget; widened where it makes less than the uncertainty that is stated (a stored budget does not keep the
    degrees of freedom)."""
    if not reading.budget:
        return (Contribution("stated", reading.uncertainty / 1.959964),) if reading.uncertainty > 0.0 else ()
    made = coverage_half_width(reading.budget, reading.coverage)
    if reading.uncertainty <= made * 1.001:
        return reading.budget
    more = math.sqrt(reading.uncertainty**2 - made**2) / 1.959964
    return (*reading.budget, Contribution(BEYOND_THE_BUDGET, more))
