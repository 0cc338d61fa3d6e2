"""Which bands a fitness item speaks of, from the times in its evidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from spindlewright.capture.fitness_item import FitnessItem

INTERVALS = "intervals_s"
LISTED_WHOLLY = "listed_wholly"
SHORTEST_OVERLAP_S = 0.05
"""An interval that only touches a band's edge does not hurt it (bands are found to 0.1 s)."""

Span = tuple[int, float, float]
"""Index, start and end of a band, s."""


def placed(items: Sequence[FitnessItem], spans: Sequence[Span]) -> tuple[FitnessItem, ...]:
    """The items with ``bands`` filled in where their evidence has ``intervals_s``.

    An item that names no moment stays as it is. One whose moments all lie outside the bands cannot spoil a reading:
    it becomes a warning.

    >>> item = FitnessItem("clipped", "stop", "…", evidence={"intervals_s": [[4.0, 6.0]]})
    >>> placed([item], [(0, 0.0, 5.0), (1, 6.5, 9.0)])[0].bands
    (0,)
    >>> placed([item], [(1, 6.5, 9.0)])[0].severity
    'warn'
    """
    return tuple(_placed(item, spans) for item in items)


def _placed(item: FitnessItem, spans: Sequence[Span]) -> FitnessItem:
    intervals = item.evidence.get(INTERVALS)
    if not intervals or item.bands or not item.evidence.get(LISTED_WHOLLY, True):
        return item
    hit = tuple(
        index
        for index, start_s, end_s in spans
        if any(_overlap(start_s, end_s, first, last) for first, last in intervals)
    )
    return replace(item, bands=hit) if hit else replace(item, severity="warn")


def _overlap(start_s: float, end_s: float, first: float, last: float) -> bool:
    common = min(end_s, last) - max(start_s, first)
    return common > min(SHORTEST_OVERLAP_S, 0.5 * (last - first))
