"""What measuring one recording gives back: typed, frozen, complete."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from spindlewright.bands.band import Band
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Channel, Curve, Finding, Reading

Progress = Callable[[float, str], None]
"""Called with the share done (0 to 1) and what is being done, in words."""


@dataclass(frozen=True, slots=True)
class CaptureInfo:
    """The recording as it came. ``bits`` is None for formats without a fixed word length."""

    file: str
    sha256: str
    sample_rate_hz: int
    channels: int
    duration_s: float
    bits: int | None


@dataclass(frozen=True, slots=True)
class Measurement:
    """Everything one recording says; ``curves`` is None when they were not asked for."""

    capture: CaptureInfo
    fitness: tuple[FitnessItem, ...]
    bands: tuple[Band, ...]
    readings: tuple[Reading, ...]
    findings: tuple[Finding, ...]
    curves: tuple[Curve, ...] | None = None

    def reading(self, quantity: str, channel: Channel | None = None) -> Reading | None:
        """The headline reading of ``quantity``: the one of the main band, else the first; None when there is none."""
        found = [r for r in self.readings if r.quantity == quantity and (channel is None or r.channel == channel)]
        main = [r for r in found if r.conditions.get("main")]
        return next(iter(main or found), None)

    def __repr__(self) -> str:
        doubts = ", ".join(sorted({f"{item.code} ({item.severity})" for item in self.fitness})) or "fit"
        return (
            f"<Measurement of {self.capture.file}: {self.capture.duration_s:.1f} s, {len(self.bands)} bands, "
            f"{len(self.readings)} readings, {doubts}>"
        )
