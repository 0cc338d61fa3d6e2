"""Something noticed without a number, with its evidence (contract: findings)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Finding:
    """``band`` is the index of the band it speaks of, None for the whole side."""

    code: str
    message: str
    evidence: Mapping[str, Any] = field(default_factory=dict)
    band: int | None = None
