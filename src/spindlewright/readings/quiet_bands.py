"""What the readings of quiet bands share: which bands, which of them is the main one, and against what level.

Source: readings contract ("Reference level"); 0 dBFS is the rms of a full-scale sine (AES17, confirmed).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from spindlewright.bands.band import Band
from spindlewright.readings.level_reference import ReferenceLevels, reference_levels
from spindlewright.readings.reading import Reading
from spindlewright.standards.jcgm_101_2008 import Contribution

DB_PER_NEPER_OF_POWER = 10.0 / math.log(10.0)
"""4.343 dB: relative error of a power, in dB."""
LOW_VIEW_DB = 0.001
"""Half-width: how flat the low view is to 1.3 kHz (its filters lie within ±0.0004 dB at all rates; derived)."""
REFERENCE = "reference level"
"""Name of the budget line of the level reference."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Against what levels are told: ``dB`` re the level reference, or ``dBFS`` without one. Zero per channel in dBFS,
    with standard uncertainties in dB."""

    unit: str
    left_dbfs: float
    right_dbfs: float
    left_u_db: float
    right_u_db: float
    velocity_known: bool

    @property
    def conditions(self) -> dict[str, Any]:
        """What the scale adds to a reading's conditions."""
        return {
            "velocity_known": self.velocity_known,
            "reference": _in_words(self),
            "reference_dbfs": None if self.unit == "dBFS" else {"left": self.left_dbfs, "right": self.right_dbfs},
        }


def _in_words(scale: Scale) -> str:
    if scale.unit == "dBFS":
        return "full scale (no reference band on this side)"
    if scale.velocity_known:
        return "10 cm/s peak at 1 kHz in the direction read"
    return "the level of the reference band, whose velocity is not known"


def scale_of(earlier: Mapping[str, Sequence[Reading]]) -> Scale:
    """The scale for level readings of this side, from the readings concluded before."""
    found: ReferenceLevels | None = reference_levels(earlier)
    if found is None:
        return Scale("dBFS", 0.0, 0.0, 0.0, 0.0, False)
    return Scale(
        "dB",
        found.left_dbfs,
        found.right_dbfs,
        found.left_standard_uncertainty_db,
        found.right_standard_uncertainty_db,
        found.velocity_known,
    )


def reference_line(scale: Scale, channel: str) -> tuple[Contribution, ...]:
    """Budget line of the reference for one channel, or for both together; none without a reference."""
    if scale.unit == "dBFS":
        return ()
    both = 0.5 * math.hypot(scale.left_u_db, scale.right_u_db)
    u = {"left": scale.left_u_db, "right": scale.right_u_db}.get(channel, both)
    return (Contribution(REFERENCE, u),)


def main_first(bands: Iterable[Band], kinds: Sequence[str]) -> list[Band]:
    """Bands with the main one first: of the earliest kind in ``kinds`` that occurs, the longest; the rest in order."""
    ordered = sorted(bands, key=lambda b: b.index)
    if not ordered:
        return []
    main = min(ordered, key=lambda b: (kinds.index(b.kind), -b.duration_s, b.index))
    return [main, *(b for b in ordered if b is not main)]


def level_db(power: float) -> float:
    """Level in dB of a power; a floor of −300 dB stands for nothing at all.

    >>> level_db(0.01)
    -20.0
    """
    return float(10.0 * np.log10(max(power, 1e-30)))
