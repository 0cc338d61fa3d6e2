"""Quasi-peak meter: one peak store per polarity with fast charge and slow discharge, and a slow pointer.

Source: time constants of ``standards/iec_60386_1972.py`` (derived, weak support). Exact for a signal that stands
still between samples; 2 ms steps are fine for an attack of 25 ms.
"""

from __future__ import annotations

import math

import numpy as np

from spindlewright.standards.iec_60386_1972 import QUASI_PEAK_METER, QuasiPeakMeter


class QuasiPeakDetector:
    """Feed weighted deviation (n,) at ``rate_hz`` in blocks of any size; get the pointer, (n,), in its unit.

    A 4 Hz sine reads its peak on average. A block may be fed at a lower rate by leaving samples out (``step``).
    """

    def __init__(self, rate_hz: float, meter: QuasiPeakMeter = QUASI_PEAK_METER) -> None:
        self._rate_hz = rate_hz
        self._meter = meter
        self._pointer = 0.0
        self._positive = 0.0
        self._negative = 0.0

    def feed(self, deviation: np.ndarray, step: int = 1) -> np.ndarray:
        meter, interval_s = self._meter, step / self._rate_hz
        hold = math.exp(-interval_s / meter.discharge_s)
        charge = -math.expm1(-interval_s / meter.attack_s)
        follow = -math.expm1(-interval_s / meter.pointer_s)
        positive, negative, pointer = self._positive, self._negative, self._pointer
        shown: list[float] = []
        keep = shown.append
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
            pointer += follow * (positive + negative - pointer)
            keep(pointer)
        self._positive, self._negative, self._pointer = positive, negative, pointer
        return np.array(shown) / (2.0 * meter.sine_indication)
