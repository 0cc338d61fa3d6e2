"""What a reading may know of the side it belongs to: how it was recorded, on what, from which disc."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from spindlewright.bands.band import Band

Chain = Literal["riaa", "flat", "unknown"]
"""What stood between cartridge and recorder."""


@dataclass(frozen=True, slots=True)
class Arm:
    """Pivoted arm: effective length and pivot-to-spindle distance in mm."""

    effective_length_mm: float
    pivot_to_spindle_mm: float


@dataclass(frozen=True, slots=True)
class Side:
    """Facts about the recording and the disc that readings need, and nothing of the truth behind them.

    ``rpm`` is the speed the disc was cut for; ``disc_speed_percent`` and ``clock_percent`` are half-widths of
    rectangular distributions. ``polarity`` is ``known`` when a lateral (or declared vertical) band showed both
    channels the right way round, ``assumed`` without such a band, else what was found wrong.
    ``platter_rate_hz`` is the platter's measured rate from the main tone band (rpm/60 when there is none).
    """

    sample_rate_hz: float
    bands: tuple[Band, ...] = ()
    rpm: float = 100.0 / 3.0
    disc_speed_percent: float = 0.1
    disc_speed_source: str = "default of an unknown disc, common practice"
    clock_percent: float = 0.01
    mains_hz: float | None = None
    chain: Chain = "riaa"
    arm: Arm | None = None
    polarity: Literal["known", "assumed", "inverted", "swapped"] = "assumed"
    platter_rate_hz: float = 100.0 / 180.0
    main_band: int | None = None
    without_contributions: frozenset[str] = field(default_factory=frozenset)
    """Names of budget lines to leave out (used by the coverage benchmark for what can't be drawn)."""
