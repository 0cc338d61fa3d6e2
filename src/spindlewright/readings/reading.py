"""What a measurement gives back: readings, findings and curves, frozen and complete (contract: readings)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from spindlewright.bands.finding import Finding
from spindlewright.standards.jcgm_101_2008 import Contribution
from spindlewright.standards.jcgm_106_2012 import Verdict
from spindlewright.standards.limits import Limit

__all__ = ["Channel", "Curve", "Finding", "Limit", "Reading"]

Channel = Literal["left", "right", "lateral", "vertical"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured quantity.

    ``uncertainty`` is the half-width of the 95 % interval of the combined distribution (JCGM 101), in ``unit``.
    ``band`` is the index of the band it was read from, None when it was made from several (see ``conditions``).
    """

    quantity: str
    value: float
    unit: str
    uncertainty: float
    budget: tuple[Contribution, ...]
    method: str
    source: str
    channel: Channel | None = None
    band: int | None = None
    method_version: int = 1
    conditions: Mapping[str, Any] = field(default_factory=dict)
    limit: Limit | None = None
    verdict: Verdict | None = None
    coverage: float = 0.95

    def __repr__(self) -> str:
        where = f" {self.channel}" if self.channel else ""
        verdict = f", {self.verdict}" if self.verdict else ""
        return f"<{self.quantity}{where}: {self.value:.6g} ± {self.uncertainty:.2g} {self.unit}{verdict}>"


@dataclass(frozen=True, slots=True)
class Curve:
    """Points behind a reading; ``x`` and ``y`` have the same length."""

    name: str
    x: np.ndarray
    x_unit: str
    y: np.ndarray
    y_unit: str
    band: int | None = None
    channel: Channel | None = None
