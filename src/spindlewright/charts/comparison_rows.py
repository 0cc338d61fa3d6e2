"""The rows of the before-against-after chart, from comparisons."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from spindlewright.charts.comparison_row import Row
from spindlewright.readings.better_direction import LOWER, NEARER_ZERO
from spindlewright.readings.comparison import Comparison, name_in_words
from spindlewright.readings.reading import Limit, Reading
from spindlewright.wording import SIGNED, order

Key = tuple[str, str | None]
_NEWS = ("worse", "better", "changed", "no change shown")


def comparison_rows(comparisons: Iterable[Comparison], limits: Mapping[Key, Limit] | None = None) -> tuple[Row, ...]:
    """One row for each comparison: first what is shown to have changed, each in the order of the printed page.

    ``limits`` by quantity and channel.
    """
    known = limits or {}
    rows = []
    for compared in sorted(comparisons, key=lambda c: (_NEWS.index(c.outcome), order(c.quantity))):
        limit = known.get((compared.quantity, compared.channel))
        rows.append(
            Row(
                name_in_words(compared.quantity, compared.channel),
                compared.unit,
                compared.before.value,
                compared.before.uncertainty,
                compared.after.value,
                compared.after.uncertainty,
                compared.outcome,
                low=limit.low if limit else None,
                high=limit.high if limit else None,
                zero_is_best=compared.quantity in NEARER_ZERO
                or (compared.quantity in LOWER and compared.unit in ("%", "s", "Ω", "1/min")),
                signed=compared.quantity in SIGNED,
                before_bound=compared.before.bound,
                after_bound=compared.after.bound,
                change_uncertainty=compared.uncertainty,
            )
        )
    return tuple(rows)


def limits_of(readings: Iterable[Reading]) -> dict[Key, Limit]:
    """The limits that readings carry, by quantity and channel; the last one counts."""
    return {(r.quantity, r.channel): r.limit for r in readings if r.limit is not None}
