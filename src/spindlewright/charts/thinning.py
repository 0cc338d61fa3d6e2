"""Long curves made short without hiding anything: the lowest and the highest of each stretch are kept."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np


@dataclass(frozen=True, slots=True)
class Stretches:
    """A curve cut into stretches of equal length in x: middle, lowest, mean and highest of each that holds a point."""

    middle: np.ndarray
    lowest: np.ndarray
    mean: np.ndarray
    highest: np.ndarray


def thinned(x: np.ndarray, y: np.ndarray, stretches: int) -> tuple[np.ndarray, np.ndarray]:
    """At most two points a stretch, its lowest and its highest in their order; a short curve as it is.

    Stretches hold equal numbers of points. First and last point are always kept.

    >>> x, y = thinned(np.arange(8.0), np.array([0.0, 9.0, 1.0, 1.0, 2.0, -9.0, 1.0, 0.0]), 2)
    >>> y.tolist()
    [0.0, 9.0, 2.0, -9.0, 0.0]
    """
    if len(y) <= 2 * stretches:
        return x, y
    edges = np.linspace(0, len(y), stretches + 1).astype(int)
    kept = {0, len(y) - 1}
    for start, end in pairwise(edges.tolist()):
        kept.add(int(start + np.argmin(y[start:end])))
        kept.add(int(start + np.argmax(y[start:end])))
    places = np.array(sorted(kept))
    return x[places], y[places]


def in_stretches(x: np.ndarray, y: np.ndarray, rows: int) -> Stretches:
    """The curve in at most ``rows`` stretches of equal length in x, for a table.

    >>> in_stretches(np.array([0.0, 1.0, 2.0, 3.0]), np.array([1.0, 3.0, 0.0, 4.0]), 2).highest
    array([3., 4.])
    """
    rows = max(1, min(rows, len(x)))
    low, high = float(np.min(x)), float(np.max(x))
    width = (high - low) / rows or 1.0
    slot = np.minimum(((x - low) / width).astype(int), rows - 1)
    count = np.bincount(slot, minlength=rows)
    used = count > 0
    lowest = np.full(rows, np.inf)
    highest = np.full(rows, -np.inf)
    np.minimum.at(lowest, slot, y)
    np.maximum.at(highest, slot, y)
    total = np.bincount(slot, weights=y, minlength=rows)
    middle = low + (np.arange(rows) + 0.5) * width
    return Stretches(middle[used], lowest[used], total[used] / count[used], highest[used])
