"""How quantities, numbers and verdicts read on screen: titles by subject, rounded figures, plain words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

SUBJECTS: dict[str, dict[str, str]] = {
    "Speed": {
        "speed_deviation": "Speed deviation",
        "rotation_rate": "Rotation rate",
        "speed_drift": "Speed drift",
    },
    "Wow and flutter": {
        "wow_flutter_weighted": "Weighted, two-sigma",
        "wow_flutter_weighted_quasi_peak": "Weighted, quasi-peak",
        "wow_flutter_weighted_rms": "Weighted, rms",
        "wow_flutter_unweighted": "Unweighted, two-sigma",
        "wow": "Wow",
        "flutter": "Flutter",
        "once_per_revolution": "Once per turn",
        "once_per_revolution_disc": "Once per turn, from the disc",
        "once_per_revolution_pin": "Once per turn, from the pin",
        "once_per_revolution_drive": "Once per turn, from the drive",
        "disc_eccentricity": "Disc off centre by",
    },
    "Channels": {
        "level_reference": "Reference level",
        "channel_balance": "Balance, left minus right",
        "crosstalk_left_to_right": "Crosstalk, left to right",
        "crosstalk_right_to_left": "Crosstalk, right to left",
        "azimuth_error": "Azimuth error",
        "symmetric_crosstalk": "Symmetric crosstalk",
    },
    "Hum and noise": {
        "hum": "Hum",
        "mains_frequency": "Mains frequency",
        "rumble_unweighted": "Rumble, unweighted",
        "rumble_weighted": "Rumble, weighted",
        "surface_noise": "Surface noise",
        "clicks_per_minute": "Clicks",
    },
    "By hand": {
        "speed_by_counted_turns": "Speed by counted turns",
        "tracking_force": "Tracking force",
        "start_time": "Start time",
        "coast_down_time": "Coast-down time",
        "pivot_to_spindle": "Pivot to spindle",
        "effective_length": "Effective length",
        "overhang": "Overhang",
        "arm_height": "Arm height",
        "coil_resistance": "Coil resistance",
        "arm_to_lead_resistance": "Earth, arm to lead",
        "protective_earth_resistance": "Protective earth",
        "insulation_resistance": "Insulation",
        "belt_length": "Belt length",
    },
}
"""Titles of the quantities, by subject, in the order in which they are printed."""

OTHER_SUBJECT = "Other"
SIGNED = frozenset({"speed_deviation", "speed_drift", "channel_balance", "azimuth_error"})
"""Quantities of which the sign is half the news, so a plus is written."""

FINEST_PLACES = {"%": 4, "%/min": 3, "rpm": 3, "dB": 2, "dBFS": 2, "°": 2, "Hz": 3, "mm": 3, "1/min": 1}
"""Decimal places printed at most, by unit. All of them come with ``--json``."""

KINDS: dict[str, str] = {
    "tone": "tone",
    "left": "left only",
    "right": "right only",
    "vertical": "vertical",
    "sweep": "sweep",
    "noise": "noise",
    "silence": "silent",
    "run_out": "run-out",
    "lifted": "arm lifted",
}


def title(quantity: str, channel: str | None = None) -> str:
    """Name of a quantity in words, with the channel it was read from.

    >>> title("rumble_weighted", "left")
    'Rumble, weighted, left'
    """
    for titles in SUBJECTS.values():
        if quantity in titles:
            words = titles[quantity]
            break
    else:
        words = quantity.replace("_", " ").capitalize()
    return f"{words}, {channel}" if channel else words


def unit_in_words(unit: str) -> str:
    """Unit as printed behind a number."""
    return {"1/min": "per min"}.get(unit, unit)


def subject(quantity: str) -> str:
    """Heading under which a quantity is printed."""
    return next((name for name, titles in SUBJECTS.items() if quantity in titles), OTHER_SUBJECT)


def quantities_in_words(quantities: Iterable[str]) -> str:
    """The quantities of this version by name, a whole subject by its heading; empty when there are none.

    >>> quantities_in_words(["speed_deviation", "rotation_rate", "speed_drift", "wow"])
    'speed; wow'
    """
    wanted, named = set(quantities), []
    for heading, titles in SUBJECTS.items():
        here = [quantity for quantity in titles if quantity in wanted]
        if len(here) == len(titles):
            named.append(heading.lower())
        elif here:
            named.append(", ".join(titles[quantity].lower().replace(",", "") for quantity in here))
    return "; ".join(named)


def order(quantity: str) -> int:
    """Place of a quantity on the page."""
    known = [name for titles in SUBJECTS.values() for name in titles]
    return known.index(quantity) if quantity in known else len(known)


def decimals_for(uncertainty: float, value: float) -> int:
    """Decimals to print: two digits of the uncertainty; four of the value when there is none."""
    size, digits = (abs(uncertainty), 2) if uncertainty else (abs(value), 4)
    if size == 0.0 or not math.isfinite(size):
        return 0
    return min(6, max(0, digits - 1 - math.floor(math.log10(size))))


def value_with_uncertainty(value: float, uncertainty: float, unit: str, signed: bool = False) -> tuple[str, str]:
    """Both as printed: two digits of the uncertainty, but no more places than a bench can use (``FINEST_PLACES``).

    >>> value_with_uncertainty(-17.5879, 0.0018, "dBFS"), value_with_uncertainty(0.4134, 0.0951, "%", signed=True)
    (('−17.59', '0.01'), ('+0.413', '0.095'))
    """
    places = min(decimals_for(uncertainty, value), FINEST_PLACES.get(unit, 6))
    smallest = 10.0**-places if uncertainty else 0.0  # never printed as zero when it is not
    return figures(value, places, signed), figures(max(uncertainty, smallest), places)


def upper_bound(value: float, unit: str) -> str:
    """A bound with two digits, rounded up, never printed as zero.

    >>> upper_bound(0.00002, "%"), upper_bound(-80.23, "dB")
    ('0.0001', '−80')
    """
    places = min(decimals_for(value, value), FINEST_PLACES.get(unit, 6))
    raised = math.ceil(value * 10.0**places - 1e-9) / 10.0**places
    return figures(raised if raised else 10.0**-places, places)


def figures(value: float, decimals: int, signed: bool = False) -> str:
    """A number with a true minus sign and no negative zero.

    >>> figures(-28.304, 2), figures(0.4134, 3, signed=True), figures(-0.0001, 2)
    ('−28.30', '+0.413', '0.00')
    """
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    if not any(digit in text for digit in "123456789"):
        text = text.lstrip("+-")
    return text.replace("-", "−")


def short(value: float | None) -> str:
    """A number of a limit or a frequency, as short as it can be written."""
    return "" if value is None else f"{value:.6g}".replace("-", "−")


def limit_in_words(low: float | None, high: float | None) -> str:
    """``up to 0.2``, ``at least 20`` or ``−1 to +1.5``; empty without limits."""
    if low is not None and high is not None:
        return f"{short(low)} to {'+' if low < 0 < high else ''}{short(high)}"
    if high is not None:
        return f"up to {short(high)}"
    return f"at least {short(low)}" if low is not None else ""


def clock(seconds: float) -> str:
    """Time in a recording, ``1:02.3``."""
    tenths = round(seconds * 10.0)
    return f"{tenths // 600}:{tenths % 600 / 10:04.1f}"


def length_in_words(seconds: float) -> str:
    """Length of a recording, ``25 min 3 s``."""
    if seconds < 60.0:
        return f"{seconds:.1f} s"
    whole = round(seconds)
    return f"{whole // 60} min {whole % 60} s"


def counted(number: int, one: str, many: str | None = None) -> str:
    """``1 reading``, ``2 readings``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else list(words))
