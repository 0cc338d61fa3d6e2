"""One acceptance limit and a named set of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from spindlewright.standards.requirement import Requirement


@dataclass(frozen=True, slots=True)
class Limit:
    """Acceptance limit of one quantity in its unit; None means no limit on that side.

    ``frequency_hz`` is the range of tone frequencies it holds for, None: any.
    """

    low: float | None
    high: float | None
    source: str
    frequency_hz: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class LimitSet:
    """Limits by quantity under one name.

    ``limits`` holds the headline limit of each quantity; ``others`` further ones at other tone frequencies.
    Example: crosstalk is held to −20 dB at 1 kHz and to −15 dB from 0.5 to 6.3 kHz.
    """

    name: str
    title: str
    source: str
    limits: Mapping[str, Limit]
    others: Mapping[str, tuple[Limit, ...]] = field(default_factory=lambda: MappingProxyType({}))

    def limit_for(self, quantity: str, frequency_hz: float | None = None) -> Limit | None:
        """The limit of ``quantity`` for a reading taken with a tone of ``frequency_hz``; None: no limit applies.

        Without a frequency the headline limit.
        """
        headline = self.limits.get(quantity)
        if headline is None or frequency_hz is None:
            return headline
        for limit in (headline, *self.others.get(quantity, ())):
            if limit.frequency_hz is None or limit.frequency_hz[0] <= frequency_hz <= limit.frequency_hz[1]:
                return limit
        return None


def set_from_requirements(name: str, title: str, source: str, rows: Iterable[Requirement]) -> LimitSet:
    """The rows that speak of readings as a set of limits; of several rows for one quantity the first leads."""
    limits: dict[str, Limit] = {}
    others: dict[str, tuple[Limit, ...]] = {}
    for row in rows:
        limit = Limit(row.low, row.high, row.source_in_words, row.frequency_hz)
        for quantity in row.quantities:
            if quantity in limits:
                others[quantity] = (*others.get(quantity, ()), limit)
            else:
                limits[quantity] = limit
    return LimitSet(name, title, source, MappingProxyType(limits), MappingProxyType(others))
