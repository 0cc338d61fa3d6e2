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
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width

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
    ``spread`` is the standard deviation of one take as the takes show it, None where no repeats tell. ``bound`` is
    "upper" ("lower") when the value is only known to lie below (above) ``value``.
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


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviation of one take, and the degrees of freedom it is known with."""

    size: float
    degrees_of_freedom: float

    def of_mean(self, takes: float) -> Contribution:
        """Budget line of the mean of ``takes`` takes."""
        return Contribution(
            BETWEEN_TAKES, self.size / math.sqrt(takes), degrees_of_freedom=max(1.0, self.degrees_of_freedom)
        )


def spread_of(*states: Sequence[Reading]) -> Spread | None:
    """Scatter from take to take, of all states together; they are taken to scatter alike. None without repeats.

    >>> def takes(*values): return [Reading("wow", v, "%", 0.0, (), "by test", "made up") for v in values]
    >>> spread_of(takes(1.0, 2.0, 3.0), takes(11.0, 13.0))  # doctest: +ELLIPSIS
    Spread(size=1.1547..., degrees_of_freedom=3.0)
    """
    squares = degrees = 0.0
    for readings in states:
        values = [reading.value for reading in readings]
        mean = math.fsum(values) / len(values)
        squares += math.fsum((value - mean) ** 2 for value in values)
        degrees += len(values) - 1.0
    return Spread(math.sqrt(squares / degrees), degrees) if degrees else None


def scattered(by_budget: _Lines, seen: Contribution | None) -> _Lines:
    """The scatter that was seen, or the budget's lines where those are larger (they are never undercut by luck)."""
    if seen is None:
        return by_budget
    expected = 1.959964 * math.sqrt(sum(line.standard_uncertainty**2 for line in by_budget))
    return (seen,) if coverage_half_width([seen]) >= expected else by_budget


def pooled(readings: Sequence[Reading], spread: Spread | None = None) -> Pooled:
    """Mean of repeats of one state.

    All readings must be of one quantity, channel and unit; which of them belong together (one band, one method) is
    the caller's to say. ``spread`` is the scatter from take to take where more is known than these takes tell.
    Raises ValueError for none at all and for mixed quantities.

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
    if any(reading.conditions.get("below_noise") for reading in readings):
        return _bounded(readings, "upper")
    if any(reading.conditions.get("at_least") for reading in readings):
        return _bounded(readings, "lower")
    n = len(readings)
    by_budget, standing = _split(readings)
    known = spread_of(readings) if spread is None else spread
    drawn = scattered(by_budget, None if known is None else known.of_mean(n))
    lines = (*drawn, *standing)
    return Pooled(
        first.quantity,
        math.fsum(reading.value for reading in readings) / n,
        first.unit,
        first.uncertainty if n == 1 and drawn is by_budget else coverage_half_width(lines),
        n,
        drawn,
        standing,
        None if known is None else known.size,
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
    if any(line.degrees_of_freedom is not None for line in reading.budget):
        return reading.budget
    made = 1.959964 * math.sqrt(sum(line.standard_uncertainty**2 for line in reading.budget))
    if reading.uncertainty <= made * 1.001:
        return reading.budget
    more = math.sqrt(reading.uncertainty**2 - made**2) / 1.959964
    return (*reading.budget, Contribution(BEYOND_THE_BUDGET, more))
