"""What the two channels of a tone say about how it was cut: both walls, one wall, or up and down."""

from __future__ import annotations

import math
from dataclasses import replace

from spindlewright.bands.band import Kind
from spindlewright.bands.piece import Piece

ONE_WALL_DB = 10.0
"""Single-channel bands leak up to -15 dB; a lateral tone out of balance by this much is not a working deck."""
UNTOLD_DB = 60.0
"""A channel this far down shows no phase."""
DEAD_DB = 55.0
"""No disc and pickup keeps the walls this far apart on every band: the quiet channel is not connected."""
OPPOSITE_DEG = 120.0


def kind_of_tone(left_power: float, right_power: float, cross: complex) -> tuple[Kind, float | None]:
    """Kind of a tone band and the phase of the right output re the left in degrees.

    Powers are squared peak amplitudes re full scale, ``cross`` the mean of conj(left) * right. The phase is None
    where a channel is too weak (beyond 60 dB) to tell.

    >>> kind_of_tone(0.01, 0.0001, 0.001)
    ('left', 0.0)
    """
    balance_db = _balance_db(left_power, right_power)
    phase_deg = None if abs(balance_db) > UNTOLD_DB else math.degrees(math.atan2(cross.imag, cross.real))
    if balance_db > ONE_WALL_DB:
        return "left", phase_deg
    if balance_db < -ONE_WALL_DB:
        return "right", phase_deg
    return ("vertical" if phase_deg is not None and abs(phase_deg) > OPPOSITE_DEG else "tone"), phase_deg


def with_dead_channel(pieces: list[Piece]) -> list[Piece]:
    """When one channel holds nothing on any tone of the side it is dead, and the kinds stay ``tone``."""
    balances = [_balance_db(p.left, p.right) for p in pieces if p.hz is not None]
    if not balances or not (min(balances) > DEAD_DB or max(balances) < -DEAD_DB):
        return pieces
    return [p if p.hz is None else replace(p, kind="tone", phase_deg=None) for p in pieces]


def _balance_db(left_power: float, right_power: float) -> float:
    tiny = 1e-20
    return 10.0 * math.log10((left_power + tiny) / (right_power + tiny))
