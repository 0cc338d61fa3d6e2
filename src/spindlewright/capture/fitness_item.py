"""One statement about whether a recording, or a part of it, is fit to measure (contract: fitness codes)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Severity = Literal["stop", "warn"]


@dataclass(frozen=True, slots=True)
class FitnessItem:
    """``code`` is one of the contract's; ``channel`` None means both; ``bands`` the band indexes it speaks of
    (empty: the whole recording). Times in ``evidence`` are seconds from the start of the file."""

    code: str
    severity: Severity
    message: str
    channel: Literal["left", "right"] | None = None
    evidence: Mapping[str, Any] = field(default_factory=dict)
    bands: tuple[int, ...] = ()
