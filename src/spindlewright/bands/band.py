"""One stretch of a recording with one kind of content."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["tone", "left", "right", "vertical", "sweep", "noise", "silence", "run_out", "lifted"]
NOTHING_DBFS = -200.0
"""Stands for no level at all, which JSON tells as null."""
TONE_KINDS: frozenset[str] = frozenset({"tone", "left", "right", "vertical"})


@dataclass(frozen=True, slots=True)
class Levels:
    """Level per channel in dBFS (0 dBFS: rms of a full-scale sine, AES17); ``NOTHING_DBFS`` where all is zero."""

    left: float
    right: float


@dataclass(frozen=True, slots=True)
class LayoutBand:
    """What the disc layout says of one band. Lengths in mm, velocity in cm/s, times in s, None: not stated."""

    name: str
    kind: Kind
    nominal_hz: float | None = None
    to_hz: float | None = None
    duration_s: float | None = None
    velocity_cm_s: float | None = None
    velocity: Literal["peak", "rms"] = "peak"
    direction: Literal["lateral", "vertical", "wall"] | None = None
    equalisation: Literal["riaa", "flat", "constant_amplitude_below"] = "riaa"
    turnover_hz: float | None = None
    reference: bool = False
    radius_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Band:
    """One stretch of the recording.

    ``start_s``/``end_s`` lie inside the signal (good to 0.1 s, onset refined to 5 ms for tones); ``frequency_hz``
    is the frequency found (to 1e-4 or better for tones), ``nominal_hz`` what the disc was cut with.
    ``right_phase_deg`` is the phase of the right output re the left at the tone (0 lateral, 180 vertical or
    inverted), None where one of them is too weak to tell. ``cut`` is the layout's band when one matched.
    """

    index: int
    start_s: float
    end_s: float
    kind: Kind
    level_dbfs: Levels
    frequency_hz: float | None = None
    nominal_hz: float | None = None
    from_hz: float | None = None
    to_hz: float | None = None
    cut: LayoutBand | None = None
    right_phase_deg: float | None = None

    @property
    def duration_s(self) -> float:
        return self.end_s - self.start_s

    @property
    def layout_name(self) -> str | None:
        return self.cut.name if self.cut else None
