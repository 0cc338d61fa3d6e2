"""What a reading may differ by from one day to the next on a deck that nobody touched.

A stylus put down again, a disc laid on anew, another room temperature, another warm-up: repeats made one after the
other do not show it. A change is only shown when it is larger.

Source: realistic accuracies of trade practice 3.1 (common practice, no source); the seating of a disc from published
values 14 (derived). Starting values for a bench to overwrite with its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from spindlewright.readings.reading import Reading
from spindlewright.standards.jcgm_101_2008 import Contribution, rectangular

DAY_TO_DAY = "from day to day"
SEATING = "disc seated anew"

USUAL_HALF_WIDTHS: Mapping[str, float] = MappingProxyType(
    {
        "speed_deviation": 0.02,
        "speed_drift": 0.01,
        "wow_flutter_weighted": 0.01,
        "wow_flutter_weighted_quasi_peak": 0.01,
        "wow_flutter_weighted_rms": 0.007,
        "wow_flutter_unweighted": 0.01,
        "wow": 0.01,
        "flutter": 0.01,
        "once_per_revolution": 0.01,
        "channel_balance": 0.2,
        "crosstalk_left_to_right": 1.0,
        "crosstalk_right_to_left": 1.0,
        "symmetric_crosstalk": 1.0,
        "azimuth_error": 0.1,
        "hum": 1.0,
        "rumble_unweighted": 1.0,
        "rumble_weighted": 1.0,
        "surface_noise": 1.0,
    }
)
"""Half-width of the difference between two days, in the unit of the reading; rates of rotation as the speed in %."""

SEATING_MM = 0.09
"""How far the play of a disc's hole lets it lie off centre: half of 7.33 − 7.15 mm (published values 14, derived;
the spindle's size is common practice)."""
SEATING_RADIUS_MM = 100.0
"""Groove radius taken when the band's own is not known."""
_SEATING_SHARE = {
    "once_per_revolution": 1.0,
    "wow": 1.0,
    "wow_flutter_unweighted": 1.0,
    "wow_flutter_weighted": 0.314,
    "wow_flutter_weighted_quasi_peak": 0.314,
    "wow_flutter_weighted_rms": 0.222,
}
"""What a once-per-turn line of 1 % adds at 33⅓ rpm, at most (published values 14: × 0.314 when weighted; derived)."""


def day_to_day(reading: Reading) -> tuple[Contribution, ...]:
    """Budget line of a difference between two days, none for what is read by hand or counted.

    >>> from spindlewright.standards.jcgm_101_2008 import coverage_half_width
    >>> hum = Reading("hum", -60.0, "dB", 1.0, (), "lines", "derived")
    >>> round(coverage_half_width(day_to_day(hum)), 3)
    0.95
    """
    if reading.quantity == "rotation_rate":
        nominal = float(reading.conditions.get("nominal_rpm") or reading.value)
        return (rectangular(DAY_TO_DAY, USUAL_HALF_WIDTHS["speed_deviation"] / 100.0 * nominal),)
    half_width = USUAL_HALF_WIDTHS.get(reading.quantity)
    return () if half_width is None else (rectangular(DAY_TO_DAY, half_width),)


def seating(reading: Reading) -> tuple[Contribution, ...]:
    """Budget line of one take for how the disc happens to lie; repeats with the disc lifted between them show it."""
    share = _SEATING_SHARE.get(reading.quantity)
    if share is None:
        return ()
    radius_mm = float(reading.conditions.get("radius_mm") or SEATING_RADIUS_MM)
    return (rectangular(SEATING, 100.0 * share * SEATING_MM / radius_mm),)
