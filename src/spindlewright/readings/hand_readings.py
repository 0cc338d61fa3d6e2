"""Readings taken by hand: scale, callipers, meter, stopwatch; typed in with the instrument that gave them.

The same ``Reading`` object as any other, method "by hand", with the instrument in the conditions. Its uncertainty is
the one typed (half-width of the 95 % interval), else the instrument's usual one from ``HAND_QUANTITIES``; the last
digit typed is added as it stands.

Source of the usual uncertainties and of the ranges: trade practice 3.1 (common practice, no source); units exact
(1 g of weight = 9.80665 mN by definition of standard gravity).
"""

from __future__ import annotations

import difflib
import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from spindlewright.readings.reading import Channel, Reading
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular
from spindlewright.typed_numbers import LENGTH_UNITS_MM

METHOD = "by hand"
MN_PER_GRAM = 9.80665
_NORMAL_95 = 1.959964

_FORCE = {"mN": 1.0, "cN": 10.0, "g": MN_PER_GRAM, "gf": MN_PER_GRAM, "p": MN_PER_GRAM}
_TIME = {"s": 1.0, "sec": 1.0, "ms": 1e-3, "min": 60.0}
_OHM = {"Ω": 1.0, "ohm": 1.0, "ohms": 1.0, "R": 1.0, "mΩ": 1e-3, "mohm": 1e-3}
_OHM |= {"k": 1e3, "kΩ": 1e3, "kohm": 1e3, "M": 1e6, "MΩ": 1e6, "Mohm": 1e6}
_MEGOHM = {unit: factor / 1e6 for unit, factor in _OHM.items()} | {"GΩ": 1e3, "Gohm": 1e3, "G": 1e3}


@dataclass(frozen=True, slots=True)
class HandQuantity:
    """One quantity that is read by hand.

    ``units`` maps each unit accepted to its size in ``unit``; ``bare_unit`` is what a number without a unit means,
    None where it must be typed. ``lowest`` and ``highest`` bound what can be real. The usual uncertainty (95 %) is
    ``usual_absolute`` plus ``usual_relative`` of the value. ``shown_in`` is the unit people read it in.
    """

    quantity: str
    title: str
    unit: str
    units: Mapping[str, float]
    bare_unit: str | None
    lowest: float
    highest: float
    usual_absolute: float
    usual_relative: float
    instrument: str
    shown_in: str
    by_channel: bool = False
    may_be_open: bool = False
    hint: str = ""

    def usual_uncertainty(self, value: float) -> float:
        """Half-width of the 95 % interval of the usual instrument at ``value``, in ``unit``."""
        return self.usual_absolute + self.usual_relative * abs(value)


_MM = MappingProxyType(LENGTH_UNITS_MM)

_TABLE = (
    HandQuantity(
        "tracking_force", "Tracking force", "mN", _FORCE, None, 1.0, 150.0, 0.3, 0.0, "stylus scale", "g",
        hint="type it with its unit, like 1.8g or 17.7mN",
    ),
    HandQuantity("start_time", "Start time", "s", _TIME, "s", 0.05, 120.0, 0.4, 0.0, "stopwatch", "s"),
    HandQuantity("coast_down_time", "Coast-down time", "s", _TIME, "s", 0.2, 1200.0, 0.4, 0.03, "stopwatch", "s"),
    HandQuantity("pivot_to_spindle", "Pivot to spindle", "mm", _MM, "mm", 100.0, 500.0, 0.5, 0.0, "steel rule", "mm"),
    HandQuantity("effective_length", "Effective length", "mm", _MM, "mm", 100.0, 500.0, 0.5, 0.0, "steel rule", "mm"),
    HandQuantity("overhang", "Overhang", "mm", _MM, "mm", -40.0, 45.0, 0.3, 0.0, "callipers", "mm"),
    HandQuantity("arm_height", "Arm height", "mm", _MM, "mm", 0.0, 150.0, 0.5, 0.0, "callipers", "mm"),
    HandQuantity(
        "coil_resistance", "Coil resistance", "Ω", _OHM, "Ω", 0.2, 20000.0, 0.3, 0.01, "meter", "Ω",
        by_channel=True, may_be_open=True, hint="no meter on a moving coil unless its maker allows it",
    ),
    HandQuantity(
        "arm_to_lead_resistance", "Earth, arm to lead", "Ω", _OHM, "Ω", 0.0, 1e8, 0.2, 0.01, "meter", "Ω",
        may_be_open=True,
    ),
    HandQuantity(
        "protective_earth_resistance", "Protective earth", "Ω", _OHM, "Ω", 0.0, 1e8, 0.05, 0.03, "earth tester", "Ω",
        may_be_open=True,
    ),
    HandQuantity(
        "insulation_resistance", "Insulation", "MΩ", _MEGOHM, "MΩ", 0.0, 1e6, 0.0, 0.05, "insulation tester", "MΩ",
        may_be_open=True,
    ),
    HandQuantity("belt_length", "Belt length", "mm", _MM, "mm", 50.0, 2500.0, 3.0, 0.0, "string and rule", "mm"),
)  # fmt: skip

HAND_QUANTITIES: Mapping[str, HandQuantity] = MappingProxyType({row.quantity: row for row in _TABLE})
"""All quantities read by hand, by key, in the order in which a page offers them."""

_TYPED = re.compile(
    r"\s*(?P<over>>|over\s)?\s*(?P<number>[+\-−]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(?P<unit>[^\d\s.,;+\-−]*)\s*",
    re.IGNORECASE,
)
_OPEN = re.compile(r"\s*(o\.?l\.?|open|∞|inf(inite)?)\s*", re.IGNORECASE)


class HandReadingError(ValueError):
    """What was typed can't be used; the message says which quantity, what was found, what is allowed, what to do."""


def hand_reading(
    quantity: str,
    text_value: str,
    instrument: str = "",
    uncertainty: str | float | None = None,
    channel: Channel | None = None,
) -> Reading:
    """One reading by hand from what was typed.

    ``text_value`` is a number with decimal point or comma and a unit (``1,8 g``, ``21.5in``); ``>200`` is a lower
    bound, for a meter that ran out of range (``conditions.at_least``). ``instrument`` empty means the usual one.
    ``uncertainty`` is typed in the unit of the value or one of its own; None takes the usual one.
    Raises HandReadingError.

    >>> force = hand_reading("tracking_force", "1,80 g", "stylus scale")
    >>> round(force.value, 2), force.unit, round(force.uncertainty, 2), force.conditions["shown"]
    (17.65, 'mN', 0.31, '1.8 g')
    """
    row = HAND_QUANTITIES.get(quantity)
    if row is None:
        near = difflib.get_close_matches(quantity, HAND_QUANTITIES, n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(HAND_QUANTITIES)}"
        raise HandReadingError(f"hand reading: found '{quantity}', {hint}")
    if _OPEN.fullmatch(text_value):
        raise HandReadingError(
            f"{row.title}: found '{text_value.strip()}'; "
            + ("type > and the top of the meter's range, for example >20M" if row.may_be_open else _allowed(row))
        )
    value, step, at_least, unit = _value(row, text_value)
    if not row.lowest <= value <= row.highest:
        raise HandReadingError(
            f"{row.title}: found {_short(value)} {row.unit}, real ones lie from {_short(row.lowest)} to "
            f"{_short(row.highest)} {row.unit}; look at the figure and its unit{_hint(row)}"
        )
    stated = row.usual_uncertainty(value) if uncertainty is None else _uncertainty(row, uncertainty, unit)
    name = instrument.strip() or row.instrument
    lines = (Contribution("instrument", stated / _NORMAL_95), rectangular("last digit", 0.5 * step))
    budget = tuple(line for line in lines if line.standard_uncertainty > 0.0)
    conditions: dict[str, object] = {
        "instrument": name,
        "typed": text_value.strip(),
        "shown": f"{value / row.units[row.shown_in]:.4g} {row.shown_in}".replace("-", "−"),
        "uncertainty_from": "typed" if uncertainty is not None else f"usual for a {row.instrument}",
    }
    if at_least:
        conditions["at_least"] = True
    return Reading(
        quantity,
        value,
        row.unit,
        coverage_half_width(budget),
        budget,
        METHOD,
        "typed in; uncertainty " + ("as typed" if uncertainty is not None else "common practice, no source"),
        channel=channel if row.by_channel else None,
        conditions=conditions,
    )


def _value(row: HandQuantity, text: str) -> tuple[float, float, bool, str]:
    """Value and step of its last digit in ``row.unit``, whether it is a lower bound, and the unit typed."""
    match = _TYPED.fullmatch(unicodedata.normalize("NFKC", text))
    if match is None:
        raise HandReadingError(f"{row.title}: found '{text.strip()}', {_allowed(row)}")
    if match["over"] and not row.may_be_open:
        raise HandReadingError(f"{row.title}: found '{text.strip()}', a bound is of no use here; {_allowed(row)}")
    unit = _unit(row, match["unit"])
    digits = match["number"].replace("−", "-").replace(",", ".")
    places = len(digits.partition(".")[2])
    factor = row.units[unit]
    return float(digits) * factor, 10.0**-places * factor, bool(match["over"]), unit


def _unit(row: HandQuantity, typed: str) -> str:
    if not typed:
        if row.bare_unit is None:
            raise HandReadingError(f"{row.title}: found no unit; {row.hint}")
        return row.bare_unit
    if typed in row.units:
        return typed
    same = [unit for unit in row.units if unit.lower() == typed.lower() and not (unit[0] == "M" and typed[0] == "m")]
    if len(same) == 1 or (same and len({row.units[unit] for unit in same}) == 1):
        return same[0]
    known = ", ".join(unit for unit in row.units if unit not in ("p", "R", '"', "μm"))
    raise HandReadingError(f"{row.title}: found the unit '{typed}', allowed are {known}")


def _uncertainty(row: HandQuantity, typed: str | float, unit: str) -> float:
    """Half-width of the 95 % interval in ``row.unit``; without a unit of its own it is in that of the value."""
    if isinstance(typed, str):
        match = _TYPED.fullmatch(typed.replace("±", ""))
        if match is None or match["over"]:
            raise HandReadingError(f"{row.title}, uncertainty: found '{typed.strip()}', type it like 0.05 {unit}")
        factor = row.units[_unit(row, match["unit"]) if match["unit"] else unit]
        size = float(match["number"].replace("−", "-").replace(",", ".")) * factor
    else:
        size = float(typed) * row.units[unit]
    if not (math.isfinite(size) and size >= 0.0):
        raise HandReadingError(f"{row.title}, uncertainty: found {typed}, allowed are numbers from 0 up")
    return size


def _allowed(row: HandQuantity) -> str:
    example = {"g": "1.8g", "s": "4.5", "mm": "215.5", "Ω": "610", "MΩ": "20"}[row.shown_in]
    return f"type a number like {example}{_hint(row)}"


def _hint(row: HandQuantity) -> str:
    return f" ({row.hint})" if row.hint else ""


def _short(value: float) -> str:
    return f"{value:.4g}".replace("-", "−")
