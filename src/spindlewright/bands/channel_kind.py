"""What the two channels of a tone say about how it was cut: both walls, one wall, or up and down."""

from __future__ import annotations

import math

from spindlewright.bands.band import Kind

ONE_WALL_DB = 10.0
"""Single-channel bands leak up to -15 dB; a lateral tone out of balance by this much is not a working deck."""
DEAD_DB = 60.0
"""No disc and pickup keeps the walls this far apart: the quiet channel is not connected."""
OPPOSITE_DEG = 120.0


def kind_of_tone(left_power: float, right_power: float, cross: complex) -> tuple[Kind, float | None]:
    """Kind of a tone band and the phase of the right output re the left in degrees.

    Powers are squared peak amplitudes re full scale, ``cross`` the mean of conj(left) * right. The phase is None
    where a channel is too weak (beyond 60 dB) to tell. With a dead channel the kind stays ``tone``.

    >>> kind_of_tone(0.01, 0.0001, 0.001)
    ('left', 0.0)
    """
    tiny = 1e-20
    balance_db = 10.0 * math.log10((left_power + tiny) / (right_power + tiny))
    if abs(balance_db) > DEAD_DB:
        return "tone", None
    phase_deg = math.degrees(math.atan2(cross.imag, cross.real))
    if balance_db > ONE_WALL_DB:
        return "left", phase_deg
    if balance_db < -ONE_WALL_DB:
        return "right", phase_deg
    return ("vertical" if abs(phase_deg) > OPPOSITE_DEG else "tone"), phase_deg
