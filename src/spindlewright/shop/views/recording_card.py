"""One recording as its page shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.setup.headline import Headline
from spindlewright.setup.next_moves.move import Move
from spindlewright.shop.views.card import JobCard
from spindlewright.shop.views.recordings import CaptureView, FindingView, ReadingView


@dataclass(frozen=True, slots=True)
class RecordingCard:
    """``card`` is the job it belongs to; ``capture.measurement`` carries its curves. ``headline``, ``moves`` speak of
    this recording alone. ``rates_hz`` are the rates of the turning parts to mark in the spectrum, ``why_no_rates``
    says which dimension can't be, empty when all is well."""

    card: JobCard
    capture: CaptureView
    readings: tuple[ReadingView, ...] = ()
    findings: tuple[FindingView, ...] = ()
    fitness: tuple[FitnessItem, ...] = ()
    headline: Headline | None = None
    moves: tuple[Move, ...] = ()
    rates_hz: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    why_no_rates: str = ""

    @property
    def readings_that_count(self) -> tuple[ReadingView, ...]:
        """Those that were not withdrawn."""
        return tuple(view for view in self.readings if not view.withdrawn)
