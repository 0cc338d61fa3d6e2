"""Looks at decks for the tests of next moves: readings as the engine gives them, made by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from readings.hand_made import made
from spindlewright.readings.reading import Limit, Reading
from spindlewright.readings.verdicts import judged
from spindlewright.standards.jcgm_101_2008 import Contribution, rectangular
from spindlewright.standards.limits import LimitSet

NOISE = Contribution("noise", 0.002)
NOMINAL_RPM = 100.0 / 3.0


def within(low: float | None, high: float | None, reading: Reading) -> Reading:
    """The reading with a limit and the verdict that the engine puts on it."""
    limits = LimitSet("test", "test", "test", {reading.quantity: Limit(low, high, "test")})
    return judged([reading], limits, ())[0]


def speed(percent: float, limit: float | None = 0.3, disc_percent: float = 0.1, nominal_rpm: float = NOMINAL_RPM,
          **conditions: Any) -> list[Reading]:  # fmt: skip
    """Speed deviation and rate of rotation of one recording."""
    lines = (rectangular("disc", disc_percent), NOISE)
    told = {"main": True, "nominal_hz": 3150.0, "tone_hz": 3150.0 * (1.0 + percent / 100.0), **conditions}
    deviation = made("speed_deviation", percent, *lines, **told)
    in_rpm = [replace(line, standard_uncertainty=line.standard_uncertainty * nominal_rpm / 100.0) for line in lines]
    rate = made("rotation_rate", nominal_rpm * (1.0 + percent / 100.0), *in_rpm, unit="rpm", nominal_rpm=nominal_rpm,
                **told)  # fmt: skip
    return [deviation if limit is None else within(-limit, limit, deviation), rate]


def azimuth(degrees: float, polarity: str = "known", u: float = 0.05) -> Reading:
    """Azimuth error from a pair of single-channel bands."""
    return made("azimuth_error", degrees, Contribution("noise", u), unit="°", main=True, polarity=polarity)


def balance(decibels: float, limit: float | None = 2.0) -> Reading:
    """Channel balance, left minus right."""
    reading = made("channel_balance", decibels, Contribution("noise", 0.02), unit="dB", main=True)
    return reading if limit is None else within(-limit, limit, reading)


def hum(left_db: float, right_db: float, shares: dict[int, float], kind: str = "lifted", band: int = 0,
        unit: str = "dB", mains_hz: float = 50.0) -> list[Reading]:  # fmt: skip
    """Hum of both channels of one quiet band; ``shares`` are the powers of the orders, relative."""
    import math

    total = sum(shares.values())
    readings = []
    for channel, level in (("left", left_db), ("right", right_db)):
        lines = [
            {"order": order, "frequency_hz": order * mains_hz, "level_dbfs": level + 10.0 * math.log10(power / total)}
            for order, power in shares.items()
        ]
        reading = made("hum", level, Contribution("noise", 0.3), unit=unit, channel=channel, main=band == 0, kind=kind,
                       lines=lines, mains_hz=mains_hz)  # fmt: skip
        readings.append(replace(reading, band=band))
    return readings


def wow(lines: Sequence[tuple[float, float]], once: float = 0.05, weighted: float = 0.3, rpm: float = NOMINAL_RPM,
        limit: float = 0.2) -> list[Reading]:  # fmt: skip
    """Once per turn with the other lines (Hz, % peak) of one 40 s band, and the weighted flutter."""
    others = [{"frequency_hz": hz, "peak_percent": peak} for hz, peak in lines]
    return [
        made("once_per_revolution", once, NOISE, main=True, rate_hz=rpm / 60.0, other_lines=others, measured_s=40.0),
        within(None, limit, made("wow_flutter_weighted", weighted, NOISE, main=True)),
    ]
