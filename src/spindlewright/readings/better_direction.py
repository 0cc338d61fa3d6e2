"""Which way a quantity is better: lower, higher, nearer to a wanted value, or no way at all.

Status: common practice, no source. What has no better direction by itself (a tracking force, an arm resonance) has a
target or a range instead; a change of it is only called "changed".
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from spindlewright.readings.reading import Reading

Better = Literal["lower", "higher", "nearer"]

LOWER = frozenset(
    {
        *("wow_flutter_weighted", "wow_flutter_weighted_quasi_peak", "wow_flutter_weighted_rms"),
        *("wow_flutter_unweighted", "wow", "flutter", "once_per_revolution", "once_per_revolution_drive"),
        *("once_per_revolution_pin", "crosstalk_left_to_right", "crosstalk_right_to_left", "symmetric_crosstalk"),
        *("hum", "rumble_unweighted", "rumble_weighted", "surface_noise", "clicks_per_minute"),
        *("total_harmonic_distortion", "second_harmonic", "third_harmonic", "intermodulation"),
        *("response_deviation", "start_time", "arm_to_lead_resistance", "protective_earth_resistance"),
    }
)
HIGHER = frozenset({"coast_down_time", "insulation_resistance", "tracking_limit_left", "tracking_limit_right"})
NEARER_ZERO = frozenset({"speed_deviation", "speed_drift", "channel_balance", "azimuth_error"})
NEARER_NOMINAL = frozenset({"rotation_rate", "speed_by_counted_turns"})
"""Best at the nominal rate in ``conditions.nominal_rpm``."""


def better_direction(quantity: str, best: float | None) -> Better | None:
    """Which way ``quantity`` is better; ``best`` is its wanted value where one is known.

    >>> better_direction("hum", None), better_direction("azimuth_error", 0.0), better_direction("tracking_force", None)
    ('lower', 'nearer', None)
    """
    if quantity in LOWER:
        return "lower"
    if quantity in HIGHER:
        return "higher"
    if quantity in NEARER_ZERO or (quantity in NEARER_NOMINAL and best):
        return "nearer"
    return None


def wanted_value(quantity: str, before: Sequence[Reading], after: Sequence[Reading]) -> float:
    """The wanted value of a quantity that is best near one: 0, or the nominal rate all readings agree on, else 0."""
    if quantity not in NEARER_NOMINAL:
        return 0.0
    named = {round(float(r.conditions.get("nominal_rpm") or 0.0), 4) for r in (*before, *after)}
    return named.pop() if len(named) == 1 else 0.0
