"""Digital levels: what 0 dBFS means.

Source: AES17 (any edition; the same in IEC 61606): 0 dBFS is the rms of a 997 Hz sine whose positive peak
just reaches positive full scale, so that a full-scale square reads +3.01 dBFS. Status: confirmed by two
secondary pages.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from spindlewright.standards.provenance import Clause, Fact

SOURCE = "AES17 / IEC 61606 (0 dBFS: rms of a full-scale sine)"

CLAUSES = (
    Clause("(definitions)", "full-scale level, dBFS", True, "dbfs, FULL_SCALE_RMS"),
    Clause("(all others)", "converter measurements", False, "not the subject of this tool"),
)

FULL_SCALE_RMS = math.sqrt(0.5)
"""rms, in units of full scale, that reads 0 dBFS."""
FULL_SCALE_SQUARE_DBFS = Fact("full-scale square", 20.0 * math.log10(math.sqrt(2.0)), "dBFS", "", "AES17", "confirmed")
TEST_TONE_HZ = Fact("test tone of the definition", 997.0, "Hz", "", "AES17", "confirmed")
FULL_SCALE_16_BIT = Fact("positive full scale of 16 bit", 32767.0, "", "", "AES17, secondary", "confirmed")


def dbfs(rms: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Level in dBFS of an rms value in units of full scale (any shape); −inf for zero, nan for negative or
    nan.

    >>> round(float(dbfs(1.0)), 2)
    3.01
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(20.0 * np.log10(np.asarray(rms, dtype=np.float64) / FULL_SCALE_RMS))


def dbfs_of_sine_peak(peak: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Level in dBFS of a sine with this peak in units of full scale (any shape).

    >>> float(dbfs_of_sine_peak(1.0))
    0.0
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(20.0 * np.log10(np.asarray(peak, dtype=np.float64)))


def rms_of_dbfs(level_dbfs: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """rms in units of full scale of a level in dBFS (any shape).

    >>> round(float(rms_of_dbfs(0.0)), 6)
    0.707107
    """
    return np.asarray(FULL_SCALE_RMS * 10.0 ** (np.asarray(level_dbfs, dtype=np.float64) / 20.0))
