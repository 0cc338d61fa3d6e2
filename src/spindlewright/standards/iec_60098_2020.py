"""Analogue audio disc records and reproducing equipment: replay equalisation, speed, channel layout.

Source: IEC 60098:2020, clauses 4 to 6 and 10 as far as a standards-preview page shows them; the
equalisation's time constants from two secondary sources (an encyclopaedia and IASA TC-04 5.3.6).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from spindlewright.standards.provenance import Clause, Fact

SOURCE = "IEC 60098:2020"

CLAUSES = (
    Clause("5.3", "unbalance of the disc", True, "UNBALANCE_DIAMETER_MM"),
    Clause("5.4", "sense of rotation", True, "ROTATION"),
    Clause("5.6", "recording speed", True, "RECORDING_SPEED_TOLERANCE"),
    Clause("6", "channel layout of the stereo groove", True, "RIGHT_CHANNEL_WALL, IN_PHASE_MOTION"),
    Clause("(number not seen)", "replay equalisation", True, "riaa_replay_response"),
    Clause("10", "measuring conditions", True, "AMBIENT"),
    Clause("10", "rumble curves A and B", False, "no table seen; working model in din_45539_1971.py"),
    Clause("8", "dimensions of the disc", False, "iec_98_1987.py, as far as seen"),
)

T1_S = Fact("RIAA bass time constant", 3180e-6, "s", "", "IEC 60098, secondary sources", "confirmed")
T2_S = Fact("RIAA turnover time constant", 318e-6, "s", "", "IEC 60098, secondary sources", "confirmed")
T3_S = Fact("RIAA treble time constant", 75e-6, "s", "", "IEC 60098, secondary sources", "confirmed")
T4_S = Fact(
    "replay-only high-pass of the amendment",
    7950e-6,
    "s",
    "amendment of 1972 or 1976 (sources differ)",
    "IEC 60098, secondary sources",
    "confirmed",
)
REFERENCE_HZ = 1000.0
"""The curve is quoted relative to its own gain at this frequency."""

RECORDING_SPEED_TOLERANCE = Fact("recording speed tolerance, either way", 0.5, "%", "5.6", SOURCE, "confirmed")
UNBALANCE_DIAMETER_MM = Fact(
    "circle within which the centre of gravity lies, diameter", 8.0, "mm", "5.3", SOURCE, "confirmed"
)
ROTATION = "clockwise seen from the played side"
"""Clause 5.4, confirmed."""
RIGHT_CHANNEL_WALL = "outer"
"""Clause 6, confirmed: the right channel is on the outer wall, the left on the inner; walls at 45 degrees."""
IN_PHASE_MOTION = "lateral"
"""Clause 6, confirmed: equal in-phase signals move the stylus sideways."""
AMBIENT = (
    Fact("preferred temperature, low", 20.0, "°C", "10", SOURCE, "confirmed"),
    Fact("preferred temperature, high", 25.0, "°C", "10", SOURCE, "confirmed"),
    Fact("relative humidity, low", 45.0, "%", "10", SOURCE, "confirmed"),
    Fact("relative humidity, high", 75.0, "%", "10", SOURCE, "confirmed"),
    Fact("air pressure, low", 86.0, "kPa", "10", SOURCE, "confirmed"),
    Fact("air pressure, high", 106.0, "kPa", "10", SOURCE, "confirmed"),
    Fact("warm-up, preferably at most", 30.0, "min", "10", SOURCE, "confirmed"),
)


def _time_constant(fact: Fact) -> float:
    assert fact.value is not None
    return fact.value


def riaa_replay_response(frequency_hz: npt.ArrayLike, amendment: bool = False) -> npt.NDArray[np.complex128]:
    """Complex replay gain relative to the RIAA gain at 1 kHz; any shape, [Hz] in, ratio out.

    (1 + s·T2) / ((1 + s·T1)(1 + s·T3)), normalised to size 1 at 1 kHz (its phase is kept). ``amendment``
    adds the 7950 µs high-pass; the reference stays the plain curve, so 1 kHz is then −0.0017 dB. Recording
    is the inverse. Range: above 0 Hz (at 0 Hz +19.911 dB, with the amendment nothing). Status: constants
    confirmed, rest derived.

    >>> round(20 * math.log10(abs(complex(riaa_replay_response(50.0)))), 3)
    16.946
    >>> round(20 * math.log10(abs(complex(riaa_replay_response(10e3)))), 3)
    -13.734
    """
    t1, t2, t3, t4 = (_time_constant(fact) for fact in (T1_S, T2_S, T3_S, T4_S))

    def curve(s: npt.NDArray[np.complex128]) -> npt.NDArray[np.complex128]:
        return np.asarray((1.0 + s * t2) / ((1.0 + s * t1) * (1.0 + s * t3)), dtype=np.complex128)

    s = np.asarray(2j * math.pi * np.asarray(frequency_hz, dtype=np.float64))
    response = curve(s) / np.abs(curve(np.asarray(2j * math.pi * REFERENCE_HZ)))
    if amendment:
        response = response * (s * t4 / (1.0 + s * t4))
    return np.asarray(response, dtype=np.complex128)


def riaa_replay_db(frequency_hz: npt.ArrayLike, amendment: bool = False) -> npt.NDArray[np.float64]:
    """Size of ``riaa_replay_response`` in dB re 1 kHz."""
    return np.asarray(20.0 * np.log10(np.abs(riaa_replay_response(frequency_hz, amendment))))
