"""Wow and flutter: weighting curve, two-sigma rule and quasi-peak meter.

Sources: IEC 60386:1972 with amendment 1 (1988), the same method in AES6-2008, DIN 45507, CCIR Rec. 409,
IEEE Std 193. What was seen in look-up: the family of standards, the test tone, the shape of the curve in
words, the two-sigma procedure over at least 5 s, two points of the meter test. **The numbers of the
weighting table, the 5 % of the two-sigma rule and most of the meter test are from memory.** The analytic
curve was fitted to the recalled table here; no published poles and zeros were found. Tolerances of the
table were not recalled, so none are given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from spindlewright.standards.curve_point import CurvePoint
from spindlewright.standards.provenance import Clause, Fact, Status

SOURCE = "IEC 60386:1972 + amendment 1:1988 / AES6-2008"
WORKING_MODEL = (
    "weighting curve: working model fitted to the table of IEC 60386 / AES6-2008 as recalled (from memory, "
    "not confirmed by look-up)"
)
"""Wording for the ``source`` of every weighted reading."""

CLAUSES = (
    Clause("Table I", "weighting against modulation frequency", True, "WEIGHTING_TABLE (from memory)"),
    Clause("Table I", "tolerances of the weighting", False, "not recalled, none given"),
    Clause("amendment 1, method 1", "two-sigma reading", True, "TWO_SIGMA_EXCEEDED, LEAST_DURATION_S"),
    Clause("method 2", "quasi-peak meter", True, "QUASI_PEAK_METER, QUASI_PEAK_PULSES (working model)"),
    Clause("amendment 1", "unweighted reading", True, "readings/wow_and_flutter.py; no method is laid down"),
    Clause("(number not known)", "drift and mean speed", False, "own definition in readings/speed.py"),
)

TEST_TONE_HZ = Fact("test tone", 3150.0, "Hz", "", SOURCE, "confirmed")
OLDER_TEST_TONE_HZ = Fact("test tone of older practice", 3000.0, "Hz", "", "secondary source", "confirmed")
REFERENCE_HZ = Fact("modulation frequency of 0 dB weighting", 4.0, "Hz", "", SOURCE, "confirmed")
LEAST_DURATION_S = Fact("least measuring time", 5.0, "s", "", "AES6-2008", "confirmed")
TWO_SIGMA_EXCEEDED = Fact(
    "share of the time in which the reading is exceeded", 0.05, "", "amendment 1", SOURCE, "memory"
)
WOW_FLUTTER_SPLIT_HZ = Fact("boundary of wow and flutter", 6.0, "Hz", "", "secondary source", "confirmed")
"""One of several (4, 6 and 10 Hz are in use): a setting, printed with the reading."""
UNWEIGHTED_BAND_HZ = (
    Fact("unweighted band, lower edge", 0.2, "Hz", "", "", "practice"),
    Fact("unweighted band, upper edge", 200.0, "Hz", "", "", "practice"),
)


WEIGHTING_TABLE: tuple[CurvePoint, ...] = (
    CurvePoint(0.1, -48.0, "memory"),
    CurvePoint(0.2, -30.6, "memory"),
    CurvePoint(0.315, -19.7, "memory"),
    CurvePoint(0.4, -15.0, "memory"),
    CurvePoint(0.63, -8.4, "memory"),
    CurvePoint(0.8, -6.0, "memory"),
    CurvePoint(1.0, -4.2, "memory"),
    CurvePoint(1.6, -1.8, "memory"),
    CurvePoint(2.0, -0.9, "memory"),
    CurvePoint(4.0, 0.0, "memory"),
    CurvePoint(6.3, -0.9, "memory"),
    CurvePoint(10.0, -2.1, "memory"),
    CurvePoint(20.0, -5.9, "memory"),
    CurvePoint(40.0, -10.4, "memory"),
    CurvePoint(63.0, -14.2, "memory"),
    CurvePoint(100.0, -17.3, "memory"),
    CurvePoint(200.0, -23.0, "memory"),
)
"""Modulation frequency, gain in dB re 4 Hz."""

_W0 = 2.0 * math.pi * 0.445282
_DAMPING = 0.5 / 0.617585  # 1/(2 Q)
WEIGHTING_ZEROS_RAD_S: tuple[complex, ...] = (0.0, 0.0, 0.0, -2.0 * math.pi * 31.9728)
WEIGHTING_POLES_RAD_S: tuple[complex, ...] = (
    _W0 * complex(-_DAMPING, math.sqrt(1.0 - _DAMPING**2)),
    _W0 * complex(-_DAMPING, -math.sqrt(1.0 - _DAMPING**2)),
    -2.0 * math.pi * 1.428527,
    -2.0 * math.pi * 8.660898,
    -2.0 * math.pi * 43.868946,
)
WEIGHTING_GAIN = 87.356616
"""H(s) = gain · Π(s − zero) / Π(s − pole), s in rad/s; derived: minimax fit to the table, worst 0.27 dB."""


def weighting_response(frequency_hz: npt.ArrayLike) -> npt.NDArray[np.complex128]:
    """Complex gain of the weighting at the modulation frequency; any shape, [Hz] in, ratio out.

    Range: 0 Hz up; compared with the table between 0.1 and 200 Hz. Working model, see the module's head.

    >>> abs(complex(weighting_response(4.0))).__round__(6)
    1.0
    >>> round(20 * math.log10(abs(complex(weighting_response(100 / 180)))), 2)
    -10.05
    """
    s = 2j * math.pi * np.asarray(frequency_hz, dtype=np.float64)
    response = np.full(s.shape, WEIGHTING_GAIN, dtype=np.complex128)
    for zero in WEIGHTING_ZEROS_RAD_S:
        response = response * (s - zero)
    for pole in WEIGHTING_POLES_RAD_S:
        response = response / (s - pole)
    return response


@dataclass(frozen=True, slots=True)
class QuasiPeakMeter:
    """Meter after the weighting filter: one store per polarity, reading half the sum, slow pointer.

    A store charges towards the signal with ``attack_s`` while the signal (of its polarity) is above it and
    decays towards zero with ``discharge_s`` else; the pointer is a first-order low-pass ``pointer_s`` (all
    time constants in s). ``sine_indication`` is the mean indication for a 4 Hz sine of peak 1: divide by
    it, so that such a sine reads its peak.
    """

    attack_s: float
    discharge_s: float
    pointer_s: float
    sine_indication: float


QUASI_PEAK_METER = QuasiPeakMeter(0.0256, 0.522, 0.1465, 0.75426)
"""Derived: three time constants fitted to the five recalled limits of the pulse test. Weak support only."""


@dataclass(frozen=True, slots=True)
class PulseTest:
    """Unidirectional pulses of ``length_s``, one a second, as far from peak to peak as a 4 Hz sine reading
    100 %.

    Highest (``lowest`` False) or lowest indication between pulses in % and its tolerance, each with status.
    """

    length_s: float
    indication_percent: float
    tolerance_percent: float
    status: Status
    tolerance_status: Status = "memory"
    lowest: bool = False


QUASI_PEAK_PULSES: tuple[PulseTest, ...] = (
    PulseTest(0.010, 21.0, 3.0, "memory"),
    PulseTest(0.030, 62.0, 6.0, "memory"),
    PulseTest(0.060, 90.0, 6.0, "confirmed"),
    PulseTest(0.100, 100.0, 4.0, "memory"),
    PulseTest(0.100, 40.0, 4.0, "confirmed", lowest=True),
)
