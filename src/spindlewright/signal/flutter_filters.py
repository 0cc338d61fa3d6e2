"""Filters from a tone's phase to its speed deviation: weighted, unweighted, and split into wow and flutter.

The phase is low-passed and halved in rate, differentiated and filtered. Every digital filter is checked against its
analogue definition when it is designed: within ±0.05 dB from 0.2 to 200 Hz. Modulation above 250 Hz is left out.

Sources: weighting of ``standards/iec_60386_1972.py`` (working model); unweighted Butterworth band (common
practice, no source); digital design by bilinear transform with a symmetric correction: textbook, derived.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from spindlewright.signal.recursive_filter import (
    RecursiveFilter,
    Section,
    bilinear,
    response,
    sections_of,
    zero_pole_response,
)
from spindlewright.signal.windowed_sinc import kaiser_beta, low_pass
from spindlewright.standards import iec_60386_1972 as flutter_standard

TOLERANCE_DB = 0.05
CHECKED_HZ = (0.2, 200.0)
LEAST_RATE_HZ = 1700.0
NOISE_FROM_HZ = 20.0
"""Below this, amplitude modulation is real change of level; the noise there is inferred from what lies above."""
NOISE_SHIFT_HZ = 165.0
"""Amplitude noise round this modulation frequency stands for the noise in the wow band."""
NOISE_SETTLES_S = 0.6
_PASS_HZ, _STOP_HZ, _STOP_DB = 235.0, 430.0, 56.0


@dataclass(frozen=True, slots=True)
class Analogue:
    """Analogue filter by zeros, poles in rad/s and gain."""

    zeros: np.ndarray
    poles: np.ndarray
    gain: float

    def response(self, frequency_hz: np.ndarray) -> np.ndarray:
        """Complex gain, same shape as ``frequency_hz``."""
        s = 2j * np.pi * frequency_hz
        top = np.prod(s[:, None] - self.zeros[None, :], axis=1)
        return np.asarray(self.gain * top / np.prod(s[:, None] - self.poles[None, :], axis=1))


def weighting() -> Analogue:
    """Flutter weighting H(s), 0 dB at 4 Hz."""
    return Analogue(
        np.array(flutter_standard.WEIGHTING_ZEROS_RAD_S, complex),
        np.array(flutter_standard.WEIGHTING_POLES_RAD_S, complex),
        flutter_standard.WEIGHTING_GAIN,
    )


def butterworth(order: int, edge_hz: float, kind: Literal["lowpass", "highpass"]) -> Analogue:
    """Butterworth ``lowpass`` or ``highpass``, -3.01 dB at ``edge_hz``."""
    edge = 2.0 * math.pi * edge_hz
    poles = edge * np.exp(0.5j * math.pi * (1.0 + (2.0 * np.arange(order) + 1.0) / order))
    if kind == "highpass":
        return Analogue(np.zeros(order, complex), poles, 1.0)
    return Analogue(np.zeros(0, complex), poles, edge**order)


def unweighted(low_hz: float = 0.2, high_hz: float = 200.0) -> Analogue:
    """Second-order Butterworth high-pass and low-pass one after the other."""
    high_pass, low_pass = butterworth(2, low_hz, "highpass"), butterworth(2, high_hz, "lowpass")
    return in_series(high_pass, low_pass)


def in_series(first: Analogue, second: Analogue) -> Analogue:
    """Both filters one after the other."""
    return Analogue(
        np.concatenate([first.zeros, second.zeros]),
        np.concatenate([first.poles, second.poles]),
        first.gain * second.gain,
    )


class HalvingDifferentiator:
    """Low-passes rows to 235 Hz, halves the rate and differentiates: rad in, rad/s out, (channels, n) in blocks.

    ``rate_hz`` is the rate fed, about 2 kHz; feed an even number each time but the last. Output ``m`` lies at
    ``(2 m + taps / 2) / rate_hz`` after the first sample.
    """

    def __init__(self, rate_hz: float, channels: int) -> None:
        if rate_hz < LEAST_RATE_HZ:
            raise ValueError(f"phase rate {rate_hz:g} Hz is too low for flutter up to 200 Hz, need {LEAST_RATE_HZ:g}")
        count = math.ceil((_STOP_DB - 7.95) / (14.36 * (_STOP_HZ - _PASS_HZ) / rate_hz)) | 1
        self.low_pass = low_pass(count, 0.5 * (_PASS_HZ + _STOP_HZ), kaiser_beta(_STOP_DB), rate_hz)
        self.rate_hz = rate_hz
        self.output_rate_hz = rate_hz / 2.0
        self.delay_s = (count - 1) / 2.0 / rate_hz + 0.5 / self.output_rate_hz
        self._waiting = np.zeros((channels, 0))
        self._previous: np.ndarray | None = None

    def feed(self, rows: np.ndarray) -> np.ndarray:
        halved = self._halve(rows)
        if self._previous is None:
            if halved.shape[1] == 0:
                return halved
            self._previous = halved[:, :1].copy()
            halved = halved[:, 1:]
        joined = np.concatenate([self._previous, halved], axis=1)
        self._previous = joined[:, -1:].copy()
        return np.diff(joined, axis=1) * self.output_rate_hz

    def _halve(self, rows: np.ndarray) -> np.ndarray:
        samples = np.concatenate([self._waiting, rows], axis=1)
        made = max(0, (samples.shape[1] - len(self.low_pass)) // 2 + 1)
        self._waiting = samples[:, 2 * made :].copy()
        if made == 0:
            return np.zeros((len(samples), 0))
        even, odd = self.low_pass[::2], self.low_pass[1::2]  # the tap count is odd, and the taps are symmetric
        return np.stack([np.correlate(row[::2], even)[:made] + np.correlate(row[1::2], odd)[:made] for row in samples])

    def response(self, frequency_hz: np.ndarray) -> np.ndarray:
        """Size of the gain, relative to a perfect differentiator."""
        low = response([(self.low_pass, np.ones(1))], frequency_hz, self.rate_hz)
        return np.asarray(np.abs(low) * np.sinc(frequency_hz / self.output_rate_hz))


def realise(analogue: Analogue, rate_hz: float, before: np.ndarray | None = None) -> list[Section]:
    """Sections of ``analogue`` at ``rate_hz``, with the loss of the stage before it made good.

    ``before`` is the size of that stage's gain at ``checking_grid()``. Raises ``ValueError`` when the whole is not
    within ±0.05 dB of the definition between 0.2 and 200 Hz (where the definition is above -34 dB).
    """
    grid = checking_grid()
    known = np.ones_like(grid) if before is None else before
    zeros, poles, gain = bilinear(analogue.zeros, analogue.poles, analogue.gain, rate_hz)
    sections = sections_of(zeros, poles, gain)
    wanted = np.abs(analogue.response(grid))
    matters = wanted > 0.02
    if before is not None:
        plain = zero_pole_response(zeros, poles, gain, grid, rate_hz)
        gained = (np.abs(plain) * known / wanted)[matters]
        powers = np.cos(2.0 * np.pi * grid[matters] / rate_hz)[:, None] ** np.arange(4)
        coefficients, *_ = np.linalg.lstsq(powers * gained[:, None], np.ones(len(gained)), rcond=None)
        sections.append((_symmetric_taps(coefficients), np.ones(1)))
    made = response(sections, grid, rate_hz)
    error_db = 20.0 * np.log10(np.abs(made[matters]) * known[matters] / wanted[matters])
    if float(np.max(np.abs(error_db))) > TOLERANCE_DB:
        raise ValueError(
            f"flutter filter at {rate_hz:g} Hz is off its definition by {np.max(np.abs(error_db)):.3f} dB, "
            f"allowed ±{TOLERANCE_DB} dB from 0.2 to 200 Hz"
        )
    return sections


def checking_grid() -> np.ndarray:
    """Modulation frequencies in Hz at which a realised filter is compared with its definition."""
    return np.geomspace(*CHECKED_HZ, 400)


def _symmetric_taps(coefficients: np.ndarray) -> np.ndarray:
    """Taps of the symmetric filter with response sum of c_k cos(w)^k."""
    polynomial = np.zeros(1)
    power = np.ones(1)
    half = np.array([0.5, 0.0, 0.5])  # cos w as taps
    for c in coefficients:
        pad = (len(power) - len(polynomial)) // 2
        polynomial = np.pad(polynomial, pad) + c * power
        power = np.convolve(power, half)
    return polynomial


class FlutterFilters:
    """From the ``phase`` view to deviations and to noise of the same kind, in blocks.

    ``feed`` takes phase in rad (n,), already without its mean slope, and the relative amplitude (n,) or None; it
    gives two arrays (4, m): weighted, unweighted, wow and flutter deviation in rad/s, and an equally strong stand-in
    for the noise in each, taken from the amplitude modulation in quadrature. Both start in steady state at zero
    deviation. The stand-in may be left out for a while; it then starts afresh and counts from ``noise_from`` on.
    Feed an even number of rows each time but the last.
    """

    def __init__(self, rate_hz: float, split_hz: float) -> None:
        self._input_rate_hz = rate_hz
        self._stage = HalvingDifferentiator(rate_hz, 1)
        self.rate_hz = self._stage.output_rate_hz
        before = self._stage.response(checking_grid())
        self._weighting = realise(weighting(), self.rate_hz, before)
        self._unweighted = realise(unweighted(), self.rate_hz, before)
        self._wow = realise(butterworth(4, split_hz, "lowpass"), self.rate_hz)
        self._flutter = realise(butterworth(4, split_hz, "highpass"), self.rate_hz)
        edge_hz = self.rate_hz / math.pi * math.tan(math.pi * NOISE_FROM_HZ / self.rate_hz)  # prewarped
        quiet = butterworth(4, edge_hz, "highpass")
        self._quiet = sections_of(*bilinear(quiet.zeros, quiet.poles, quiet.gain, self.rate_hz))
        self._noise_gain = self._noise_gains()
        self._running: dict[str, RecursiveFilter] = {}
        self._noise_stage: HalvingDifferentiator | None = None
        self._fed = 0
        self.noise_from = 0
        """Index in the block last given from which its noise rows count."""

    @property
    def delay_s(self) -> float:
        """Time of the first output after the first sample fed."""
        return self._stage.delay_s

    def feed(
        self, phase_rad: np.ndarray, relative_amplitude: np.ndarray | None
    ) -> tuple[np.ndarray, np.ndarray | None]:
        rate = self._stage.feed(phase_rad[None, :])[0]
        signal = np.empty((4, len(rate)))
        signal[0] = self._filter("weighted", self._weighting, rate)
        signal[1] = self._filter("unweighted", self._unweighted, rate)
        signal[2] = self._filter("wow", self._wow, signal[1])
        signal[3] = self._filter("flutter", self._flutter, signal[1])
        noise = None if relative_amplitude is None else self._noise(relative_amplitude, len(rate))
        if relative_amplitude is None:
            self._noise_stage = None
        self._fed += len(phase_rad)
        return signal, noise

    def _noise(self, relative_amplitude: np.ndarray, count: int) -> np.ndarray:
        """Rows (4, count); the last belongs to the last of the deviation."""
        self.noise_from = 0
        if self._noise_stage is None:
            self._noise_stage = HalvingDifferentiator(self._input_rate_hz, 2)
            self._running = {name: one for name, one in self._running.items() if not name.startswith("noise")}
            self.noise_from = math.ceil(NOISE_SETTLES_S * self.rate_hz) if self._fed else 0
        index = self._fed + np.arange(len(relative_amplitude))
        turn = np.mod(NOISE_SHIFT_HZ / self._input_rate_hz * index, 1.0)
        shifted = math.sqrt(2.0) * relative_amplitude * np.cos(2.0 * np.pi * turn)
        plain, moved = self._noise_stage.feed(np.stack([relative_amplitude, shifted]))
        plain = self._filter("noise quiet", self._quiet, plain)
        noise = np.zeros((4, count))
        first = count - len(plain)
        noise[0, first:] = self._filter("noise weighted", self._weighting, plain)
        noise[1, first:] = self._filter("noise unweighted", self._unweighted, plain)
        wide = self._filter("noise moved", self._unweighted, moved)
        noise[2, first:] = self._filter("noise wow", self._wow, wide)
        noise[3, first:] = self._filter("noise flutter", self._flutter, noise[1, first:])
        noise *= self._noise_gain[:, None]
        return noise

    def _filter(self, name: str, sections: list[Section], row: np.ndarray) -> np.ndarray:
        if name not in self._running:
            self._running[name] = RecursiveFilter(sections)
        return self._running[name].feed(row)

    def _noise_gains(self) -> np.ndarray:
        """What makes good the missing share of white phase noise below 20 Hz, in amplitude."""
        grid = np.arange(0.25, self.rate_hz / 2.0, 0.25)
        density = (grid * self._stage.response(grid)) ** 2
        quiet = _power(self._quiet, grid, self.rate_hz)
        split = _power(self._flutter, grid, self.rate_hz)
        shapes = [_power(one, grid, self.rate_hz) for one in (self._weighting, self._unweighted)]
        gains = [np.sum(density * one) / np.sum(density * one * quiet) for one in shapes]
        last = np.sum(density * shapes[1] * split) / np.sum(density * shapes[1] * split * quiet)
        return np.asarray(np.sqrt(np.array([gains[0], gains[1], 1.0, last])))


def _power(sections: list[Section], grid: np.ndarray, rate_hz: float) -> np.ndarray:
    return np.asarray(np.abs(response(sections, grid, rate_hz)) ** 2)
