"""Speed by counted turns: someone taps each time a mark on the platter passes, and a line through all taps tells.

Tap k falls at t0 + k·T plus the hand's error; the least-squares slope T is the time of a turn and the residuals are
the hand's scatter s. The slope's standard error is s·√(12/(n(n² − 1))), Student's t with n − 2 degrees of freedom. No
cartridge, disc or microphone is needed, and no disc error enters: the reading speaks of the platter.

Source: least squares, textbook (derived). Status: derived; coverage held by random draws in
tests/conformance/test_counted_turns_coverage.py. The hand's errors are taken as independent; counting longer helps
more than tapping more carefully.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spindlewright.readings.reading import Reading
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

LEAST_TAPS = 4
CLOCK_PERCENT = 0.01
"""Half-width for the computer's clock: 100 ppm (published values 18: consumer crystals, memory)."""
TIMER_STEP_S = 0.001
"""Step of the times a browser gives away (common practice, no source)."""
SLOWEST_RPM, FASTEST_RPM = 5.0, 120.0
OTHER_SPEED_PERCENT = 8.0
"""Beyond this the deck seems set to another speed, or the taps were not one a turn."""
FOLLOWED_TAPS = 8
"""Taps whose mean says where the next one is expected."""
LOOSEST = 0.2
"""Scatter, as a share of a turn, beyond which the taps do not follow the mark."""
_RATES = (16.0 + 2.0 / 3.0, 100.0 / 3.0, 45.0, 3600.0 / 46.0)


class TapsError(ValueError):
    """Taps that no speed can be told from; the message says what was found and what to do."""


@dataclass(frozen=True, slots=True)
class _Counted:
    """Taps with the number of the turn each belongs to, and what had to be told."""

    time_s: np.ndarray
    turn: np.ndarray
    missed_after: tuple[int, ...] = ()
    left_out: tuple[int, ...] = ()


def counted_turns(tap_times_s: Sequence[float], nominal_rpm: float = 100.0 / 3.0) -> Reading:
    """``speed_by_counted_turns`` (rpm) from the times in seconds of taps, one a turn, on any clock that runs on.

    Conditions: ``deviation_percent`` from ``nominal_rpm`` with ``deviation_uncertainty_percent``, ``taps``, ``turns``,
    ``tap_scatter_s``; ``missed_after`` and ``left_out`` name (from 1) the tap after which one was missed and a tap
    that was one too many, with ``told`` in words; ``doubt`` when the speed is far from nominal. One missed and one
    double tap are counted so and told. Raises TapsError for fewer than 4 taps, times that do not run on, more than one
    missed or double tap, and rates no platter turns at.

    >>> reading = counted_turns([0.0, 1.81, 3.59, 5.41, 7.2, 9.0])
    >>> round(reading.value, 2), round(reading.uncertainty, 2), round(reading.conditions["deviation_percent"], 2)
    (33.34, 0.1, 0.02)
    """
    if not (math.isfinite(nominal_rpm) and SLOWEST_RPM <= nominal_rpm <= FASTEST_RPM):
        raise TapsError(
            f"nominal speed: found {nominal_rpm:g} rpm, allowed is {SLOWEST_RPM:g} to {FASTEST_RPM:g}; "
            "choose the speed the deck is set to"
        )
    counted = _count(_checked(tap_times_s))
    n = len(counted.time_s)
    slope_s, scatter_s = _line(counted)
    value = 60.0 / slope_s
    if not SLOWEST_RPM <= value <= FASTEST_RPM:
        raise TapsError(
            f"taps: found one every {slope_s:.3g} s, that would be {value:.3g} rpm; "
            "tap once for every turn of the platter (times are in seconds)"
        )
    per_second = value / slope_s / math.sqrt(float(np.sum((counted.turn - counted.turn.mean()) ** 2)))
    budget = (
        Contribution("taps", scatter_s * per_second, degrees_of_freedom=n - 2.0),
        Contribution("timer", TIMER_STEP_S / math.sqrt(12.0) * per_second),
        rectangular("clock", value * CLOCK_PERCENT / 100.0),
    )
    uncertainty = coverage_half_width(budget)
    deviation = 100.0 * (value / nominal_rpm - 1.0)
    conditions: dict[str, object] = {
        "nominal_rpm": nominal_rpm,
        "deviation_percent": deviation,
        "deviation_uncertainty_percent": 100.0 * uncertainty / nominal_rpm,
        "taps": n,
        "turns": int(counted.turn[-1] - counted.turn[0]),
        "tap_scatter_s": scatter_s,
        "missed_after": list(counted.missed_after),
        "left_out": list(counted.left_out),
        "main": True,
    }
    if told := _told(counted):
        conditions["told"] = told
    if abs(deviation) > OTHER_SPEED_PERCENT:
        conditions["doubt"] = _doubt(value, nominal_rpm) or "far from the speed chosen: look at the speed lever"
    return Reading(
        "speed_by_counted_turns",
        value,
        "rpm",
        uncertainty,
        budget,
        "line through the taps of counted turns",
        "least squares (derived); clock from memory",
        conditions=conditions,
    )


def _checked(tap_times_s: Sequence[float]) -> np.ndarray:
    times = np.asarray(tap_times_s, dtype=np.float64)
    if times.ndim != 1 or times.size < LEAST_TAPS:
        raise TapsError(
            f"taps: found {times.size}, at least {LEAST_TAPS} are needed; go on tapping, ten turns are good"
        )
    if not np.all(np.isfinite(times)):
        raise TapsError("taps: found a time that is not a number; start again")
    back = np.flatnonzero(np.diff(times) <= 0.0)
    if back.size:
        raise TapsError(f"taps: tap {back[0] + 2} is not later than the one before it; start again")
    return times


def _count(times: np.ndarray) -> _Counted:
    """Number of the turn of each tap; at most one missed and one double tap, both told."""
    turn_s = float(np.median(np.diff(times)))
    turn = _turn_numbers(times, turn_s)
    left_out: tuple[int, ...] = ()
    doubled = np.flatnonzero(np.diff(turn) == 0)
    if doubled.size > 1:
        raise TapsError(
            f"taps: more than one comes too soon (first after tap {doubled[0] + 1}); start again, one tap a turn"
        )
    if doubled.size:
        extra = _extra_tap(times, turn, int(doubled[0]))
        left_out = (extra + 1,)
        times, turn = np.delete(times, extra), np.delete(turn, extra)
        if len(times) < LEAST_TAPS:
            raise TapsError(f"taps: tap {extra + 1} is one too many, {len(times)} are left; tap some more turns")
    steps = np.diff(turn)
    missing = np.flatnonzero(steps > 1)
    if missing.size > 1 or np.any(steps > 2):
        where = int(missing[-1]) + 1 + sum(1 for k in left_out if k <= missing[-1] + 1)
        raise TapsError(
            f"taps: after tap {where} the time to the next does not fit one turn, and more than one tap is missed; "
            "start again and tap each time the mark passes"
        )
    missed = tuple(int(k) + 1 + sum(1 for out in left_out if out <= k + 1) for k in missing)
    counted = _Counted(times, turn.astype(float), missed, left_out)
    slope_s, scatter_s = _line(counted)
    if scatter_s > LOOSEST * slope_s:
        raise TapsError(
            f"taps: they scatter by {scatter_s:.2g} s and do not keep step with a turn; "
            "start again and tap each time the mark passes"
        )
    return counted


def _turn_numbers(times: np.ndarray, turn_s: float) -> np.ndarray:
    """Nearest turn of each tap, followed by the mean of the last taps so that a late hand does not lose count."""
    numbers = np.zeros(len(times), dtype=int)
    for k in range(1, len(times)):
        last = slice(max(0, k - FOLLOWED_TAPS), k)
        zero_s = float(np.mean(times[last] - numbers[last] * turn_s))
        numbers[k] = max(numbers[k - 1], round((times[k] - zero_s) / turn_s))
    return numbers


def _extra_tap(times: np.ndarray, turn: np.ndarray, first: int) -> int:
    """Index of the tap that is one too many: of two in one turn the one farther from the line of all the others."""
    others = np.delete(np.arange(len(times)), [first, first + 1])
    slope, start = np.polyfit(turn[others], times[others], 1)
    apart = [abs(times[k] - (start + slope * turn[k])) for k in (first, first + 1)]
    return first if apart[0] > apart[1] else first + 1


def _line(counted: _Counted) -> tuple[float, float]:
    """Time of a turn in s and the taps' scatter round the line in s."""
    turn = counted.turn - counted.turn.mean()
    time_s = counted.time_s - counted.time_s.mean()
    slope = float(turn @ time_s / (turn @ turn))
    rest = time_s - slope * turn
    return slope, math.sqrt(float(rest @ rest) / (len(turn) - 2))


def _told(counted: _Counted) -> str:
    parts = [f"tap {k} was one too many and is left out" for k in counted.left_out]
    parts += [f"a tap was missed after tap {k} and that turn is counted" for k in counted.missed_after]
    return "; ".join(parts)


def _doubt(value: float, nominal_rpm: float) -> str:
    if abs(2.0 * value / nominal_rpm - 1.0) < 0.05:
        return "this is half the speed: was every second turn tapped?"
    if abs(value / nominal_rpm / 2.0 - 1.0) < 0.05:
        return "this is twice the speed: are there two marks on the platter?"
    near = min(_RATES, key=lambda rate: abs(math.log(value / rate)))
    if abs(value / near - 1.0) < 0.05 and abs(near / nominal_rpm - 1.0) > 0.05:
        return f"this is near {near:.4g} rpm: look at the speed lever, or choose that speed here"
    return ""
