"""Spindlewright, the service bench for record decks.

>>> from spindlewright import measure  # doctest: +SKIP
>>> measure("side-a.wav").reading("speed_deviation")  # doctest: +SKIP
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from spindlewright.measure import measure

__all__ = ["measure"]


def __getattr__(name: str) -> Any:
    """Load the engine only when it is asked for, so that ``--help`` stays quick."""
    if name == "measure":
        from spindlewright.measure import measure

        return measure
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
