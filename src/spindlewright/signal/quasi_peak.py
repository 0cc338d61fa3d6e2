"""Quasi-peak meter: one peak store per polarity with fast charge and slow discharge, and a slow pointer.

Source: time constants of ``standards/iec_60386_1972.py`` (derived, weak support). Exact for a signal that stands
still between samples; 2 ms steps are fine for an attack of 25 ms.
"""

from __future__ import annotations

import math

import numpy as np
from scipy import signal as scipy_signal

from spindlewright.standards.iec_60386_1972 import QUASI_PEAK_METER, QuasiPeakMeter


class QuasiPeakDetector:
    """Feed weighted deviation (n,) at ``rate_hz`` in blocks of any size; get the pointer, (n,), in its unit.

    A 4 Hz sine reads its peak on average.
    """

    def __init__(self, rate_hz: float, meter: QuasiPeakMeter = QUASI_PEAK_METER) -> None:
        self._hold = math.exp(-1.0 / (rate_hz * meter.discharge_s))
        self._charge = -math.expm1(-1.0 / (rate_hz * meter.attack_s))
        follow = -math.expm1(-1.0 / (rate_hz * meter.pointer_s))
        self._pointer = ([follow / (2.0 * meter.sine_indication)], [1.0, follow - 1.0])
        self._pointer_state = np.zeros(1)
        self._positive = 0.0
        self._negative = 0.0

    def feed(self, deviation: np.ndarray) -> np.ndarray:
        hold, charge = self._hold, self._charge
        positive, negative = self._positive, self._negative
        stored: list[float] = []
        keep = stored.append
        for value in deviation.tolist():
            if value > positive:
                positive += charge * (value - positive)
                negative *= hold
            elif value < -negative:
                negative -= charge * (value + negative)
                positive *= hold
            else:
                positive *= hold
                negative *= hold
            keep(positive + negative)
        self._positive, self._negative = positive, negative
        numerator, denominator = self._pointer
        indication, self._pointer_state = scipy_signal.lfilter(
            numerator, denominator, np.array(stored), zi=self._pointer_state
        )
        return np.asarray(indication)
