"""How one measurement presents itself, so that a file, a live input and the documentation can all use it.

A method is one module in this folder. Per band it starts a *listener state* that is fed blocks of one view of the
sound and can be asked for an observation at any time; over the whole side it concludes readings from all its
observations. States do no I/O and give the same result for the same samples whatever the block size.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol

import numpy as np

from spindlewright.bands.band import Band
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.reading import Curve, Finding, Reading
from spindlewright.readings.side import Side

View = Literal["carrier", "phase", "low", "wide", "impulses"]
"""What a state is fed (all arrays C-contiguous; ``n`` varies from call to call):

``wide``     float32 (n, 2): the samples as recorded, full scale 1.
``low``      float64 (n, 2): the same, low-passed and decimated to 4 to 8 kHz, flat within 0.01 dB to 1.3 kHz.
``carrier``  complex128 (n, 2): the tone of both channels brought to 0 Hz (``Stretch.carrier_hz`` exactly), as peak
             amplitude re full scale with the phase of the cosine.
``phase``    float64 (n, 3): both channels combined by strength: unwrapped phase in rad re ``carrier_hz``; relative
             amplitude minus one (the quadrature of the phase noise); 1.0 where real, 0.0 where a tick was bridged.
``impulses`` int64 (k, 2): first and last frame, from the stretch's first sample, of each impulse found (the tone taken
             out); then, as last row, the number of frames heard so far, twice.
"""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One band as one state sees it: its view's rate, the file time of the first element, the mixing frequency."""

    band: Band
    rate_hz: float
    start_s: float
    carrier_hz: float | None = None


@dataclass(frozen=True, slots=True)
class Observation:
    """What one method saw in one band; ``data`` is the method's own typed object."""

    band: Band
    data: Any


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one method concludes of the whole side."""

    readings: tuple[Reading, ...] = ()
    findings: tuple[Finding, ...] = ()
    fitness: tuple[FitnessItem, ...] = ()
    curves: tuple[Curve, ...] = ()


@dataclass(frozen=True, slots=True)
class Quantity:
    """Glossary entry of one quantity: key of the contract, unit, definition in words, source with status."""

    name: str
    unit: str
    definition: str
    source: str


class State(Protocol):
    """A small state machine over one stretch."""

    def feed(self, block: np.ndarray) -> None: ...

    def observe(self) -> Any | None:
        """What has been seen so far, None when it is too little; does not disturb the state."""
        ...


class Method(Protocol):
    """One measurement: what it gives, what it listens to, and how it concludes."""

    @property
    def name(self) -> str: ...

    @property
    def version(self) -> int: ...

    @property
    def quantities(self) -> tuple[Quantity, ...]: ...

    @property
    def view(self) -> View: ...

    def wants(self, band: Band, side: Side) -> bool: ...

    def start(self, stretch: Stretch, side: Side) -> State: ...

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        """Readings from all bands; ``earlier`` holds the readings of methods before this one, by quantity."""
        ...
