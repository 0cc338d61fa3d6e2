"""At which rates the parts of a deck turn, from its dimensions: platter, belt, pulley and motor, idler.

With f_p = rpm/60 of the platter, t the belt's thickness (it bends about its mid-line):

    belt drive    motor f_p (hub + t)/(pulley + t)     belt f_p π (hub + t)/length
    idler drive   idler f_p rim/idler                  motor f_p rim/pulley (the step of the motor the idler runs on)

A part's lines come in families: once a turn and multiples of it. A line of the mains or a resonance does not move when
the deck goes from 33⅓ to 45 rpm; a part's line does, times 1.35.

Source: trade practice 4.2, published values 17 (flat-belt theory, derived). Status: derived.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

DIMENSIONS: Mapping[str, str] = {
    "hub_mm": "diameter of the surface that the belt drives",
    "pulley_mm": "diameter of the motor's pulley, or of the step that the idler runs on",
    "belt_thickness_mm": "thickness of the belt",
    "belt_length_mm": "length of the belt all round, as it lies on the deck",
    "rim_mm": "inner diameter of the rim that the idler drives",
    "idler_mm": "diameter of the idler",
    "motor_rpm": "rotation rate of the motor, where it is printed on it",
    "motor_poles": "poles of a synchronous motor (its rate is 120 × mains / poles)",
    "cogging_per_turn": "cogging steps of a direct drive in one turn of the platter",
    "headshell_width_mm": "width of the headshell",
}
"""Dimensions that a deck may have, by name; a speed of its own is written before the unit: ``pulley_45_mm``."""
MULTIPLES = 3
"""Members of each family that are marked: a flat gives many, an off-centre part the first, an oval the second."""
_SPEED_NAMES = ((100.0 / 3.0, "33"), (45.0, "45"), (3600.0 / 46.0, "78"), (50.0 / 3.0, "16"))


@dataclass(frozen=True, slots=True)
class RotatingPart:
    """One part that turns. ``rate_hz`` is its turns per second, ``how`` how that was worked out."""

    name: str
    rate_hz: float
    how: str


class DimensionError(ValueError):
    """A dimension that can't be; the message says which, what was found and what is allowed."""


def rotating_parts(
    platter_rpm: float,
    drive: str,
    dimensions: Mapping[str, Any] | None = None,
    mains_hz: float | None = None,
    motor: str = "unknown",
) -> tuple[RotatingPart, ...]:
    """The parts whose rate can be told, slowest first; the platter always can.

    ``drive`` is belt, idler, direct or unknown; ``dimensions`` as in ``DIMENSIONS``, missing ones leave their part
    out. The motor's rate follows from pulley and platter, else from ``motor_rpm``, else from ``motor_poles`` and
    ``mains_hz`` of a synchronous motor. Raises DimensionError.

    >>> sizes = {"rim_mm": 270, "idler_mm": 60}
    >>> [(part.name, round(part.rate_hz, 3)) for part in rotating_parts(100 / 3, "idler", sizes)]
    [('platter', 0.556), ('idler', 2.5)]
    """
    if not (math.isfinite(platter_rpm) and 1.0 < platter_rpm < 150.0):
        raise DimensionError(f"platter speed: found {platter_rpm:g} rpm, allowed is 1 to 150 rpm")
    sizes = sizes_at(dimensions or {}, platter_rpm)
    platter_hz = platter_rpm / 60.0
    parts = [RotatingPart("platter", platter_hz, "measured speed")]
    thickness = sizes.get("belt_thickness_mm", 0.0)
    if drive == "belt":
        parts += _belt_drive(platter_hz, sizes, thickness)
    elif drive == "idler":
        if "rim_mm" in sizes and "idler_mm" in sizes:
            parts.append(RotatingPart("idler", platter_hz * sizes["rim_mm"] / sizes["idler_mm"], "rim over idler"))
        if "rim_mm" in sizes and "pulley_mm" in sizes:
            parts.append(RotatingPart("motor", platter_hz * sizes["rim_mm"] / sizes["pulley_mm"], "rim over step"))
    elif drive == "direct" and "cogging_per_turn" in sizes:
        parts.append(RotatingPart("cogging", platter_hz * sizes["cogging_per_turn"], "steps in one turn"))
    if not any(part.name in ("motor", "pulley and motor") for part in parts) and drive in ("belt", "idler", "unknown"):
        own = _motor_alone(sizes, mains_hz, motor)
        parts += [own] if own else []
    return tuple(sorted(parts, key=lambda part: part.rate_hz))


def rates_to_mark(parts: Sequence[RotatingPart], multiples: int = MULTIPLES) -> dict[str, tuple[float, ...]]:
    """Rates in Hz to mark in the deviation spectrum, by part: once a turn and its multiples.

    >>> rates_to_mark([RotatingPart("idler", 2.5, "")])
    {'idler': (2.5, 5.0, 7.5)}
    """
    return {part.name: tuple(order * part.rate_hz for order in range(1, multiples + 1)) for part in parts}


@dataclass(frozen=True, slots=True)
class PartLine:
    """A line that falls on a part's rate. ``order`` 1 is once a turn of that part."""

    part: RotatingPart
    order: int
    frequency_hz: float
    peak_percent: float


def lines_of_parts(
    lines: Sequence[tuple[float, float]], parts: Sequence[RotatingPart], resolution_hz: float
) -> tuple[PartLine, ...]:
    """Which of the ``lines`` (Hz, % peak) fall on which part, within ``resolution_hz`` or 1 % (slip, callipers).

    A line that falls on two parts goes to the one it lies nearest to, the lower order when equally near.

    >>> idler = RotatingPart("idler", 2.5, "")
    >>> found = lines_of_parts([(2.51, 0.1), (5.0, 0.04), (3.3, 0.1)], [idler], 0.03)
    >>> [(line.part.name, line.order) for line in found]
    [('idler', 1), ('idler', 2)]
    """
    found = []
    for frequency, peak in lines:
        candidates = []
        for part in parts:
            for order in range(1, MULTIPLES + 1):
                apart = abs(frequency - order * part.rate_hz)
                if apart <= max(resolution_hz, 0.01 * frequency):
                    candidates.append((round(apart, 9), order, part))
        if candidates:
            _, order, part = min(candidates, key=lambda c: (c[0], c[1]))
            found.append(PartLine(part, order, frequency, peak))
    return tuple(found)


def sizes_at(dimensions: Mapping[str, Any], platter_rpm: float | None) -> dict[str, float]:
    """Dimensions that hold at this speed; ``pulley_45_mm`` stands before ``pulley_mm``. Raises DimensionError.

    >>> sizes_at({"pulley_mm": 13.5, "pulley_45_mm": 18.5}, 44.8)
    {'pulley_mm': 18.5}
    """
    named = "" if platter_rpm is None else min(_SPEED_NAMES, key=lambda pair: abs(math.log(platter_rpm / pair[0])))[1]
    sizes: dict[str, float] = {}
    for name, what in DIMENSIONS.items():
        stem, _, unit = name.rpartition("_")
        value = dimensions.get(f"{stem}_{named}_{unit}", dimensions.get(name))
        if value is None or value == "":
            continue
        try:
            number = float(value)
        except (TypeError, ValueError):
            raise DimensionError(f"{name}: found {value!r}, allowed is a number ({what})") from None
        if not (math.isfinite(number) and number > 0.0):
            raise DimensionError(f"{name}: found {number:g}, allowed are numbers over 0 ({what})")
        sizes[name] = number
    return sizes


def _belt_drive(platter_hz: float, sizes: Mapping[str, float], thickness: float) -> list[RotatingPart]:
    parts = []
    if "hub_mm" in sizes and "belt_length_mm" in sizes:
        rate = platter_hz * math.pi * (sizes["hub_mm"] + thickness) / sizes["belt_length_mm"]
        parts.append(RotatingPart("belt", rate, "way round the hub over the belt's length"))
    if "hub_mm" in sizes and "pulley_mm" in sizes:
        rate = platter_hz * (sizes["hub_mm"] + thickness) / (sizes["pulley_mm"] + thickness)
        parts.append(RotatingPart("pulley and motor", rate, "hub over pulley, at the belt's mid-line"))
    return parts


def _motor_alone(sizes: Mapping[str, float], mains_hz: float | None, motor: str) -> RotatingPart | None:
    if "motor_rpm" in sizes:
        return RotatingPart("motor", sizes["motor_rpm"] / 60.0, "printed on the motor")
    if motor == "synchronous" and "motor_poles" in sizes and mains_hz:
        return RotatingPart("motor", 2.0 * mains_hz / sizes["motor_poles"], "poles and mains")
    return None
