"""Numbers as people type them: decimal comma or point, with or without a unit.

Every face of Spindlewright reads typed numbers here, so that ``230mm``, ``23 cm``, ``0,23m`` and ``9in`` mean the
same on the command line and on a page. Thousands are never grouped: ``1.234,5`` is refused, not guessed.
"""

from __future__ import annotations

import math
import re

LENGTH_UNITS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "um": 1e-3, "µm": 1e-3, "μm": 1e-3, "in": 25.4, '"': 25.4}
"""Millimetres in one unit (inch: 25.4 mm exactly)."""

NAMED_RPM = {"33": 100.0 / 3.0, "33 1/3": 100.0 / 3.0, "33⅓": 100.0 / 3.0, "45": 45.0, "78": 3600.0 / 46.0}
"""Nominal speeds by name. 78 is 3600/46 = 78.261 rpm; 77.922 is typed as a number."""

SLOWEST_RPM, FASTEST_RPM = 8.0, 120.0

_NUMBER = r"[+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[^\d\s.,;+-]*)\s*")
_PAIR_AT_COMMA = re.compile(rf"(?P<first>{_NUMBER}\s*(?:[^\d\s.,;+-]+))\s*,(?P<second>.+)")


def number(text: str) -> float:
    """Value of a plain number.

    >>> number("33,3"), number("-1.5")
    (33.3, -1.5)
    """
    match = re.fullmatch(_NUMBER, text.strip())
    if not match:
        raise ValueError(f"{text.strip()!r} is not a number; type it like 33.3 or 33,3")
    return _finite(match.group().replace(",", "."), text)


def length_mm(text: str) -> float:
    """Length in mm; a number without a unit is mm.

    >>> length_mm("230"), length_mm("9in"), length_mm("0,23 m")
    (230.0, 228.6, 230.0)
    """
    match = _QUANTITY.fullmatch(text)
    if not match:
        raise ValueError(f"{text.strip()!r} is not a length; type it like 230mm, 23,0cm or 9in")
    unit = match["unit"]
    if unit and unit not in LENGTH_UNITS_MM:
        raise ValueError(f"{text.strip()!r}: the unit {unit!r} is not a length; use mm, cm, m or in")
    value = _finite(match["number"].replace(",", "."), text) * LENGTH_UNITS_MM.get(unit, 1.0)
    return round(value, 9)


def rpm(text: str) -> float:
    """Nominal speed in rpm: ``33``, ``45`` and ``78`` by name, anything else as typed.

    >>> round(rpm("33"), 4), rpm("45"), round(rpm("78"), 3), rpm("77,922")
    (33.3333, 45.0, 78.261, 77.922)
    """
    typed = text.strip().removesuffix("rpm").strip()
    if typed in NAMED_RPM:
        return NAMED_RPM[typed]
    try:
        value = number(typed)
    except ValueError:
        raise ValueError(f"{text.strip()!r} is not a speed; type 33, 45, 78 or a number of rpm") from None
    if not SLOWEST_RPM <= value <= FASTEST_RPM:
        raise ValueError(
            f"{text.strip()!r} is no speed a disc is cut for; type 33, 45, 78 or "
            f"a number from {SLOWEST_RPM:g} to {FASTEST_RPM:g} rpm"
        )
    return value


def pair_of_lengths_mm(text: str) -> tuple[float, float]:
    """Two lengths in mm, ``230mm,212mm``.

    A semicolon always parts them, so use it with decimal commas: ``230,5;212,3``. Without one, a comma after a
    unit parts them (``230,5mm,212mm``), and a lone comma does (``230,212``). Two or more commas without units
    could be read in several ways and are refused.

    >>> pair_of_lengths_mm("230mm,212mm"), pair_of_lengths_mm("230,5;212")
    ((230.0, 212.0), (230.5, 212.0))
    """
    if ";" in text:
        parts = text.split(";")
    elif with_unit := _PAIR_AT_COMMA.fullmatch(text.strip()):
        parts = [with_unit["first"], with_unit["second"]]
    else:
        parts = text.split(",")
    if len(parts) != 2:
        raise ValueError(
            f"{text.strip()!r} is not two lengths; type them like 230mm,212mm or, with decimal commas, 230,5;212,3"
        )
    return length_mm(parts[0]), length_mm(parts[1])


def _finite(digits: str, text: str) -> float:
    value = float(digits)
    if not math.isfinite(value):
        raise ValueError(f"{text.strip()!r} is too large to be meant")
    return value
