"""Rumble: unweighted and weighted reading (DIN 45539; year of the edition from memory).

**Working model.** No published table of the two curves was seen. Known are: two readings, unweighted and
weighted (confirmed); reference 10 cm/s peak at 1 kHz (confirmed); unweighted band about 10 to 315 Hz
(confirmed, secondary); weighted curve 0 dB at 315 Hz and about 12 dB/octave down on either side (memory).
The filters below are the definitions of the contract page: they meet these facts, and nothing more is
claimed. Rumble is read after correct replay equalisation.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from spindlewright.standards.provenance import Clause, Fact

SOURCE = "DIN 45539"
WORKING_MODEL = "rumble curves: working model after DIN 45539 (no published table seen, slopes from memory)"
"""Wording for the ``source`` of every rumble reading."""

CLAUSES = (
    Clause("curve A", "unweighted reading", True, "unweighted_response (working model)"),
    Clause("curve B", "weighted reading", True, "weighted_response (working model)"),
    Clause("curves A, B", "tables and tolerances", False, "no table seen"),
    Clause("(number not known)", "reference level", True, "REFERENCE_VELOCITY_CM_S, REFERENCE_HZ"),
    Clause("(number not known)", "time constant of the meter", False, "rms over the whole band instead"),
)

REFERENCE_VELOCITY_CM_S = Fact("reference velocity, peak", 10.0, "cm/s", "", SOURCE, "confirmed")
REFERENCE_HZ = Fact("frequency of the reference velocity", 1000.0, "Hz", "", SOURCE, "confirmed")
CALIBRATION_HZ = Fact("calibration tone of the rumble disc", 315.0, "Hz", "", "DIN 45544", "confirmed")
CALIBRATION_VELOCITY_CM_S = Fact(
    "printed velocity of that tone, peak, in every direction", 5.42, "cm/s", "", "DIN 45544", "confirmed"
)
"""The replay curve gives 5.509 cm/s for 10 cm/s at 1 kHz: the printed figure is 0.14 dB low (derived)."""

UNWEIGHTED_HIGH_PASS_HZ = 10.0
UNWEIGHTED_HIGH_PASS_ORDER = 2
UNWEIGHTED_LOW_PASS_HZ = 500.0
UNWEIGHTED_LOW_PASS_ORDER = 4
WEIGHTED_CENTRE_HZ = 315.0


def _butterworth_poles(order: int, edge_hz: float) -> tuple[complex, ...]:
    """Poles in rad/s, evenly spaced on the left half of a circle."""
    angles = (math.pi * (0.5 + (2 * k + 1) / (2 * order)) for k in range(order))
    return tuple(2.0 * math.pi * edge_hz * complex(math.cos(a), math.sin(a)) for a in angles)


UNWEIGHTED_ZEROS_RAD_S: tuple[complex, ...] = (0.0,) * UNWEIGHTED_HIGH_PASS_ORDER
UNWEIGHTED_POLES_RAD_S: tuple[complex, ...] = _butterworth_poles(
    UNWEIGHTED_HIGH_PASS_ORDER, UNWEIGHTED_HIGH_PASS_HZ
) + _butterworth_poles(UNWEIGHTED_LOW_PASS_ORDER, UNWEIGHTED_LOW_PASS_HZ)
UNWEIGHTED_GAIN = (2.0 * math.pi * UNWEIGHTED_LOW_PASS_HZ) ** UNWEIGHTED_LOW_PASS_ORDER

_CENTRE = 2.0 * math.pi * WEIGHTED_CENTRE_HZ
WEIGHTED_ZEROS_RAD_S: tuple[complex, ...] = (0.0, 0.0)
WEIGHTED_POLES_RAD_S: tuple[complex, ...] = 2 * (
    _CENTRE * complex(-0.5, math.sqrt(0.75)),
    _CENTRE * complex(-0.5, -math.sqrt(0.75)),
)
WEIGHTED_GAIN = _CENTRE**2
"""For both curves H(s) = gain · Π(s − zero) / Π(s − pole), s in rad/s."""


def _response(
    frequency_hz: npt.ArrayLike, zeros: tuple[complex, ...], poles: tuple[complex, ...], gain: float
) -> npt.NDArray[np.complex128]:
    s = 2j * math.pi * np.asarray(frequency_hz, dtype=np.float64)
    response = np.ones(s.shape, dtype=np.complex128)
    scale = gain ** (1.0 / (len(poles) - len(zeros)))
    for zero in zeros:
        response = response * (s - zero)
    for pole in poles[: len(zeros)]:
        response = response / (s - pole)
    for pole in poles[len(zeros) :]:
        response = response * (scale / (s - pole))
    return response


def unweighted_response(frequency_hz: npt.ArrayLike) -> npt.NDArray[np.complex128]:
    """Complex gain, Butterworth high-pass order 2 at 10 Hz and low-pass order 4 at 500 Hz; [Hz] in, ratio
    out.

    >>> round(20 * math.log10(abs(complex(unweighted_response(10.0)))), 2)
    -3.01
    """
    return _response(frequency_hz, UNWEIGHTED_ZEROS_RAD_S, UNWEIGHTED_POLES_RAD_S, UNWEIGHTED_GAIN)


def weighted_response(frequency_hz: npt.ArrayLike) -> npt.NDArray[np.complex128]:
    """Complex gain [s·w0/(s² + s·w0 + w0²)]², w0 = 2π·315 Hz; [Hz] in, ratio out, size 1 at 315 Hz.

    >>> round(20 * math.log10(abs(complex(weighted_response(100.0)))), 2)
    -19.11
    """
    return _response(frequency_hz, WEIGHTED_ZEROS_RAD_S, WEIGHTED_POLES_RAD_S, WEIGHTED_GAIN)
