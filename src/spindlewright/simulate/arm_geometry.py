"""Where the stylus stands: the arm's circle meets the groove's circle, exactly, for any offset of the disc.

Seen in the mirror image in which the disc turns counter-clockwise: spindle at 0, pivot at distance d on the real axis.
Of the two crossings of the arm's circle with the groove the one is played where the groove runs away from the pivot.
With ``sin phi = (r² + L² − d²)/(2 r L)`` a disc off centre by e then gives a speed deviation of peak e/(r cos phi)
(published-values 14, derived), which the tests check against this module.
"""

from __future__ import annotations

import numpy as np

from spindlewright.simulate.spec import Arm


def stylus_angle(arm: Arm, radius_mm: np.ndarray, centre: np.ndarray) -> np.ndarray:
    """Angle of the stylus seen from the groove's own centre, in rad.

    ``radius_mm``: groove radius; ``centre``: complex position of the groove's centre in mm (0: on the spindle).
    """
    if arm.tracking == "tangential":
        return np.asarray(-np.arcsin(centre.imag / radius_mm))
    length = arm.effective_length_mm
    to_pivot = arm.pivot_to_spindle_mm - centre
    distance = np.abs(to_pivot)
    cosine = (radius_mm**2 + distance**2 - length**2) / (2.0 * radius_mm * distance)
    return np.asarray(np.angle(to_pivot) + np.arccos(np.clip(cosine, -1.0, 1.0)))


def tangent_angle_rad(arm: Arm, radius_mm: float) -> float:
    """phi: angle between the arm's line and the groove's tangent; 0 for a tangential arm."""
    if arm.tracking == "tangential":
        return 0.0
    length, distance = arm.effective_length_mm, arm.pivot_to_spindle_mm
    return float(np.arcsin((radius_mm**2 + length**2 - distance**2) / (2.0 * radius_mm * length)))
