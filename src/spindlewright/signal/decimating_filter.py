"""Finite impulse response filters that mix and decimate in one matrix product.

The samples are cut into rows of ``decimation`` frames; one product of those rows with a small matrix gives every
partial sum of the filter, and the outputs are shifted sums of them. Any carrier can be brought to 0 Hz in the
same product. Source: polyphase decimation, textbook; derived here.
"""

from __future__ import annotations

import numpy as np

from spindlewright.signal.windowed_sinc import low_pass


class DecimatingFilter:
    """Linear-phase low-pass of ``rows * decimation`` taps with a Kaiser window, cut-off in Hz at -6 dB.

    ``carrier_hz`` 0 gives real output (low-pass only); else the complex baseband of that carrier, scaled so that a
    sine of peak amplitude A gives |z| = A. Give it chunks whose length is a multiple of ``decimation``; output ``m``
    belongs to the time ``output_time_s(m)`` after the first sample and the first ``warm_up`` outputs are not valid.
    """

    def __init__(
        self,
        rate_hz: float,
        decimation: int,
        rows: int,
        cutoff_hz: float,
        beta: float,
        carrier_hz: float = 0.0,
    ) -> None:
        self.rate_hz = rate_hz
        self.decimation = decimation
        self.rows = rows
        self.carrier_hz = carrier_hz
        self.output_rate_hz = rate_hz / decimation
        self.warm_up = rows - 1
        taps = rows * decimation
        window = low_pass(taps, min(cutoff_hz, 0.499 * rate_hz), beta, rate_hz)
        self._complex = carrier_hz != 0.0
        age = np.arange(taps).reshape(rows, decimation)[:, ::-1]  # age in samples of frame k in the row j back
        kernel = window[age]  # (rows, decimation)
        if self._complex:
            step = 2j * np.pi * carrier_hz / rate_hz
            within = np.exp(-step * np.arange(decimation))[None, :]
            back = np.exp(step * decimation * np.arange(rows))[:, None]
            mixed = 2.0 * kernel * within * back
            self._matrix = np.concatenate([mixed.real, mixed.imag]).astype(np.float32)
        else:
            self._matrix = kernel.astype(np.float32)
        self._tail = np.zeros((len(self._matrix), 2, rows - 1), np.float32)
        self._done = 0
        self._turning = np.empty(0, np.complex128)

    def output_time_s(self, index: int) -> float:
        """Time of output ``index`` after the first sample fed, at the middle of the filter."""
        taps = self.rows * self.decimation
        return ((index + 1) * self.decimation - 1 - (taps - 1) / 2.0) / self.rate_hz

    def feed(self, planar: np.ndarray) -> np.ndarray:
        """Filter float32 (2, n), n a multiple of ``decimation``; (n / decimation, 2) complex128 or float64."""
        count = planar.shape[1] // self.decimation
        product = self._matrix @ planar.reshape(2 * count, self.decimation).T
        partial = np.concatenate([self._tail, product.reshape(-1, 2, count)], axis=2)
        self._tail = partial[:, :, count:].copy()
        if not self._complex:
            return self._shifted_sum(partial, count).T.astype(np.float64, order="C")
        result = np.empty((count, 2), np.complex128)
        result.real = self._shifted_sum(partial[: self.rows], count).T
        result.imag = self._shifted_sum(partial[self.rows :], count).T
        turns = self.carrier_hz * self.decimation / self.rate_hz
        if len(self._turning) != count:
            self._turning = np.exp(-2j * np.pi * np.mod(turns * np.arange(count), 1.0))
        begin = np.exp(-2j * np.pi * np.mod(turns * self._done, 1.0))
        result *= (self._turning * begin)[:, None]
        self._done += count
        return result

    def _shifted_sum(self, partial: np.ndarray, count: int) -> np.ndarray:
        """Sum over j of the part that lies j rows back; ``partial`` (rows, 2, rows - 1 + count)."""
        first = self.rows - 1
        total: np.ndarray = partial[0, :, first : first + count].copy()
        for j in range(1, self.rows):
            total += partial[j, :, first - j : first - j + count]
        return total


def low_band_filter(rate_hz: float) -> DecimatingFilter:
    """The ``low`` view: 4 to 8 kHz, flat within 0.01 dB to 1.3 kHz, aliases below it more than 80 dB down."""
    decimation = max(1, int(rate_hz // 4000.0))
    output_rate_hz = rate_hz / decimation
    return DecimatingFilter(rate_hz, decimation, 20, output_rate_hz / 2.0, 9.0)


def carrier_filter(rate_hz: float, carrier_hz: float) -> DecimatingFilter:
    """The ``carrier`` view: baseband at about 2 kHz for carriers of 900 Hz and more, narrower below.

    Flat within 0.02 dB to a tenth of the output rate (±200 Hz at 2 kHz), 60 dB down from half of it on.
    """
    wanted = 2000.0 if carrier_hz >= 900.0 else 500.0 if carrier_hz >= 250.0 else 125.0 if carrier_hz >= 60.0 else 32.0
    decimation = max(1, round(rate_hz / wanted))
    output_rate_hz = rate_hz / decimation
    return DecimatingFilter(rate_hz, decimation, 10, 0.3 * output_rate_hz, 6.0, carrier_hz)
