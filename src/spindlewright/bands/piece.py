"""A stretch of frames with one kind of content, before it is named."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.bands.band import Kind


@dataclass(frozen=True, slots=True)
class Piece:
    """Frames ``first`` to ``stop`` (not included) of the survey, or times once they are refined.

    ``left``, ``right`` squared peak amplitudes re full scale (mean squares times two for noise and silence),
    ``cross`` the mean of conj(left) * right. ``hz`` None unless a tone; ``from_hz``, ``to_hz`` of a sweep.
    """

    first: int
    stop: int
    kind: Kind
    left: float
    right: float
    cross: complex = 0j
    hz: float | None = None
    from_hz: float | None = None
    to_hz: float | None = None
    phase_deg: float | None = None
    start_s: float = 0.0
    end_s: float = 0.0

    @property
    def power(self) -> float:
        return self.left + self.right
