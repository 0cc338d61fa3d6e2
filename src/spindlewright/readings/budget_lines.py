"""Which lines of an uncertainty budget a reading keeps."""

from __future__ import annotations

from collections.abc import Iterable

from spindlewright.readings.side import Side
from spindlewright.standards.jcgm_101_2008 import Contribution


def kept(side: Side, lines: Iterable[Contribution]) -> tuple[Contribution, ...]:
    """The budget without the lines that are zero or that the side asks to leave out."""
    return tuple(
        line for line in lines if line.standard_uncertainty > 0.0 and line.name not in side.without_contributions
    )
