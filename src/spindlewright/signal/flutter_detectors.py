"""From rows of the ``phase`` view to the sizes of wow and flutter, in one pass and in fixed memory.

The filtered deviation is read at instants that share no rhythm with the sampling (one in every interval, at the
golden ratio's places), so that lines locked to the sampling rate give the same percentiles as any others.
"""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass

import numpy as np

from spindlewright.signal.blocks import Rebuffer
from spindlewright.signal.flutter_filters import FlutterFilters
from spindlewright.signal.noisy_size import NoisySize, NoisySizes
from spindlewright.signal.quasi_peak import QuasiPeakDetector

WEIGHTED_SETTLES_S = 3.0
UNWEIGHTED_SETTLES_S = 5.0
LEAST_COUNTED_S = 5.0
_CHUNK = 32768
_FULL_CHUNKS = 8
_FULL_EVERY = 16
"""After two minutes the noise is heard in every sixteenth chunk only ..."""
_SPARSE = 8
"""... and in the others every eighth interval is read, counted eight times."""
_METER_STEP = 2
_METER_THIN = 2
_METER_NOISE_S = 60.0
"""The meter is run with the noise's stand-in for this long after settling."""
_SEGMENT_S = 0.5
_SPECTRUM_LENGTH = 16384
_SPECTRUM_TO_HZ = 250.0
_GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)


@dataclass(frozen=True, slots=True)
class FlutterSeen:
    """Sizes of the deviation relative to the tone's mean frequency (1, not %); a None was too short to settle.

    ``quasi_peak_spread`` is how far the meter's indication strays from its mean: standard deviation over mean.
    ``line_peak`` is the spectrum of the unweighted deviation, as the peak of a steady line at ``line_hz``.
    """

    weighted: NoisySize
    weighted_rms: NoisySize
    quasi_peak: NoisySize
    quasi_peak_maximum: float
    quasi_peak_spread: float
    unweighted: NoisySize | None
    wow: NoisySize | None
    flutter: NoisySize | None
    duration_s: float
    bridged_share: float
    line_hz: np.ndarray
    line_peak: np.ndarray


class FlutterDetectors:
    """Feed rows (n, 3) of the ``phase`` view at ``rate_hz``; ``turn_s`` is the time of one platter turn."""

    def __init__(self, rate_hz: float, turn_s: float, split_hz: float) -> None:
        self.rate_hz = rate_hz
        self._turn = max(2, round(turn_s * rate_hz))
        self._buffer = Rebuffer(max(_CHUNK, 2 * self._turn), 3, np.float64)
        self._filters = FlutterFilters(rate_hz, split_hz)
        self._fine_hz = self._filters.rate_hz
        self._begin = [self._first(WEIGHTED_SETTLES_S), self._first(UNWEIGHTED_SETTLES_S)]
        segment = math.ceil(_SEGMENT_S * self._fine_hz)
        self._weighted = NoisySizes(1, segment)
        self._wide = NoisySizes(3, segment)
        self._meter = _MeterReading(self._fine_hz / _METER_STEP, self._begin[0] / _METER_STEP)
        self._spectrum = LineSpectrum(self._fine_hz)
        self._slope: float | None = None
        self._first_phase = 0.0
        self._last_phase = 0.0
        self._chunks = 0
        self._rows = 0
        self._bridged = 0
        self._made = 0
        self._kept = np.zeros((2, 4, 0))
        self._kept_from = 0
        self._next = 2

    def _first(self, settles_s: float) -> int:
        return math.ceil((settles_s - self._filters.delay_s) * self._fine_hz)

    def feed(self, block: np.ndarray) -> None:
        for chunk in self._buffer.feed(block):
            self._work(chunk)

    def result(self, carrier_hz: float) -> FlutterSeen | None:
        """Everything so far, None when less than 8 s; feeding may go on."""
        rest = self._buffer.rest()
        if len(rest):
            last = copy.deepcopy(self)
            last._work(last._buffer.rest().copy())
            last._buffer = Rebuffer(1, 3, np.float64)
            return last.result(carrier_hz)
        duration = self._rows / self.rate_hz
        if self._slope is None or duration < WEIGHTED_SETTLES_S + LEAST_COUNTED_S:
            return None
        mean_hz = (
            carrier_hz + (self._last_phase - self._first_phase) / (2.0 * math.pi * (self._rows - 1)) * self.rate_hz
        )
        unit = 1.0 / (2.0 * math.pi * mean_hz)
        line_hz, line_peak = self._spectrum.result()
        wide = duration >= UNWEIGHTED_SETTLES_S + LEAST_COUNTED_S
        return FlutterSeen(
            weighted=_scaled(self._weighted.two_sigma(0), unit),
            weighted_rms=_scaled(self._weighted.rms(0), unit),
            quasi_peak=_scaled(self._meter.result(), unit),
            quasi_peak_maximum=self._meter.maximum * unit,
            quasi_peak_spread=self._meter.spread,
            unweighted=_scaled(self._wide.two_sigma(0), unit) if wide else None,
            wow=_scaled(self._wide.two_sigma(1), unit) if wide else None,
            flutter=_scaled(self._wide.two_sigma(2), unit) if wide else None,
            duration_s=duration,
            bridged_share=self._bridged / max(1, self._rows),
            line_hz=line_hz,
            line_peak=line_peak * unit,
        )

    def _work(self, chunk: np.ndarray) -> None:
        if self._slope is None:
            turn = min(self._turn, len(chunk) - 1)
            self._first_phase = float(chunk[0, 0])
            self._slope = (float(chunk[turn, 0]) - self._first_phase) / max(turn, 1)
        index = self._rows + np.arange(len(chunk))
        phase = chunk[:, 0] - self._first_phase - self._slope * index
        self._rows += len(chunk)
        self._bridged += int(len(chunk) - np.count_nonzero(chunk[:, 2]))
        self._last_phase = float(chunk[-1, 0])
        full = self._chunks < _FULL_CHUNKS or self._chunks % _FULL_EVERY == 0
        self._chunks += 1
        signal, noise = self._filters.feed(phase, chunk[:, 1] if full else None)
        self._read_meter(signal[0], None if noise is None else noise[0])
        self._read_sizes(signal, noise)
        self._spectrum.feed(signal[1])
        self._made += signal.shape[1]

    def _read_meter(self, weighted: np.ndarray, noise: np.ndarray | None) -> None:
        thinly = 1 if noise is not None else _METER_THIN
        step = _METER_STEP * thinly
        first = -self._made % step
        self._meter.feed(weighted[first::step], None if noise is None else noise[first::step], thinly)

    def _read_sizes(self, signal: np.ndarray, noise: np.ndarray | None) -> None:
        fresh = np.stack([signal, np.zeros_like(signal) if noise is None else noise])
        rows = np.concatenate([self._kept, fresh], axis=2)
        end = self._kept_from + rows.shape[2]
        full_from = end if noise is None else self._made + self._filters.noise_from
        for step, limit in ((_SPARSE, full_from), (1, end)):
            last = min(end - 3, limit) - (step - 1)
            if self._next < last:
                place = np.arange(self._next, last, step)
                self._next = int(place[-1]) + step
                self._count(rows, place, step)
        drop = max(0, min(self._next - 2, end) - self._kept_from)
        self._kept = rows[:, :, drop:].copy()
        self._kept_from += drop

    def _count(self, rows: np.ndarray, place: np.ndarray, step: int) -> None:
        read = _read_between(rows if step == 1 else rows[:1], place - self._kept_from, _ahead(place, step))
        for sizes, part, begin in ((self._weighted, slice(0, 1), 0), (self._wide, slice(1, 4), 1)):
            skip = int(np.searchsorted(place, self._begin[begin]))
            counted = np.ascontiguousarray(read[:, part, skip:])
            if step == 1:
                sizes.add(counted[0], counted[1])
            else:
                sizes.add_thin(counted[0], step)


def _ahead(place: np.ndarray, step: int) -> np.ndarray:
    """Where in its interval of ``step`` each instant lies: the golden ratio's places, evenly spread."""
    return step * np.mod(place // step * _GOLDEN, 1.0)


def _scaled(size: NoisySize, unit: float) -> NoisySize:
    return NoisySize(
        size.raw * unit,
        size.power * unit**2,
        size.power_scatter * unit**2,
        size.degrees,
        size.noise * unit,
        size.shape_doubt,
    )


def _read_between(rows: np.ndarray, place: np.ndarray, ahead: np.ndarray) -> np.ndarray:
    """Values of ``rows`` (..., n) at ``place + ahead`` by six-point interpolation (error 2 % at 0.2 of the rate)."""
    whole = np.floor(ahead)
    u = ahead - whole
    index = place + whole.astype(np.int64)
    first, count = int(index[0]), len(index)
    in_a_row = int(index[-1]) - first == count - 1 and bool(np.all(whole == whole[0]))
    weights = (
        -(u + 1) * u * (u - 1) * (u - 2) * (u - 3) / 120.0,
        (u + 2) * u * (u - 1) * (u - 2) * (u - 3) / 24.0,
        -(u + 2) * (u + 1) * (u - 1) * (u - 2) * (u - 3) / 12.0,
        (u + 2) * (u + 1) * u * (u - 2) * (u - 3) / 12.0,
        -(u + 2) * (u + 1) * u * (u - 1) * (u - 3) / 24.0,
        (u + 2) * (u + 1) * u * (u - 1) * (u - 2) / 120.0,
    )
    total = np.zeros((*rows.shape[:-1], len(place)))
    for offset, weight in zip(range(-2, 4), weights, strict=True):
        if in_a_row:
            total += weight * rows[..., first + offset : first + offset + count]
        else:
            total += weight * np.take(rows, index + offset, axis=-1)
    return total


class _MeterReading:
    """Mean and maximum of the quasi-peak indication after settling, and what the noise's stand-in does to it."""

    def __init__(self, rate_hz: float, begin: float) -> None:
        self._begin = math.ceil(begin)
        self._noise_end = self._begin + math.ceil(_METER_NOISE_S * rate_hz)
        self._plain, self._more, self._less = (QuasiPeakDetector(rate_hz) for _ in range(3))
        self._segment = math.ceil(rate_hz)
        self._sums = np.zeros(3)
        self._differences = np.zeros(math.ceil(_METER_NOISE_S) + 2)
        self._total = 0.0
        self._total_of_squares = 0.0
        self._count = 0
        self._noise_count = 0
        self._done = 0
        self.maximum = 0.0

    def feed(self, weighted: np.ndarray, noise: np.ndarray | None, step: int) -> None:
        """``noise`` None and ``step`` above 1 where samples are left out."""
        plain = self._plain.feed(weighted, step)
        counted = plain[max(0, -((self._done - self._begin) // step)) :]
        if len(counted):
            self._total += step * float(counted.sum())
            self._total_of_squares += step * float(counted @ counted)
            self._count += step * len(counted)
            self.maximum = max(self.maximum, float(counted.max()))
        ahead = min(len(weighted), self._noise_end - self._done)
        if noise is not None and ahead > 0:
            more = self._more.feed(weighted[:ahead] + noise[:ahead])
            less = self._less.feed(weighted[:ahead] - noise[:ahead])
            start = max(0, self._begin - self._done)
            if start < ahead:
                self._sums += (plain[start:ahead].sum(), more[start:].sum(), less[start:].sum())
                segment = (self._noise_count + np.arange(ahead - start)) // self._segment
                self._differences += np.bincount(
                    segment, weights=0.5 * (more[start:] - less[start:]), minlength=len(self._differences)
                )
                self._noise_count += ahead - start
        self._done += step * len(weighted)

    @property
    def spread(self) -> float:
        """Standard deviation of the indication over its mean."""
        if self._total == 0.0:
            return 0.0
        return math.sqrt(max(0.0, self._total_of_squares * self._count / self._total**2 - 1.0))

    def result(self) -> NoisySize:
        raw = self._total / max(self._count, 1)
        plain, more, less = self._sums / max(self._noise_count, 1)
        ratio = 1.0 if plain == 0.0 else 2.0 - 0.5 * (more**2 + less**2) / plain**2
        used = max(1, math.ceil(self._noise_count / self._segment))
        differences = self._differences[:used]
        # the meter remembers about half a second, so neighbouring seconds are related
        variance = float(np.sum(differences**2) + 2.0 * 0.5 * np.sum(differences[1:] * differences[:-1]))
        scatter = math.sqrt(max(variance, 0.5 * float(np.sum(differences**2)))) / max(self._noise_count, 1)
        scatter *= math.sqrt(self._noise_count / max(self._count, 1))
        noise = math.sqrt(max(0.0, 0.5 * (more**2 + less**2) - plain**2))
        share = min(3.0, math.sqrt(max(0.0, 1.0 - ratio) / max(ratio, 0.1)))
        return NoisySize(
            raw=raw,
            power=ratio * raw**2,
            power_scatter=2.0 * raw * scatter,
            degrees=float(used),
            noise=noise,
            shape_doubt=0.01 * share + 0.05 * share**2,
        )


class LineSpectrum:
    """Mean spectrum over Hann windows of some 16 s each, scaled so that a line shows its peak."""

    def __init__(self, rate_hz: float) -> None:
        self._rate_hz = rate_hz
        self._window = np.hanning(_SPECTRUM_LENGTH)
        self._waiting = np.zeros(0)
        self._power: np.ndarray | None = None
        self._count = 0

    def feed(self, deviation: np.ndarray) -> None:
        rows = np.concatenate([self._waiting, deviation])
        while len(rows) >= _SPECTRUM_LENGTH:
            power = self._of(rows[:_SPECTRUM_LENGTH])
            self._power = power if self._power is None else self._power + power
            self._count += 1
            rows = rows[_SPECTRUM_LENGTH:]
        self._waiting = rows.copy()

    def result(self) -> tuple[np.ndarray, np.ndarray]:
        """Frequencies in Hz and peaks in the unit fed, to 250 Hz."""
        power, count = self._power, self._count
        if power is None:
            power, count = self._of(self._waiting), 1
        frequency = np.fft.rfftfreq(_SPECTRUM_LENGTH, 1.0 / self._rate_hz)
        shown = frequency <= _SPECTRUM_TO_HZ
        return frequency[shown], np.sqrt(power[shown] / count)

    def _of(self, rows: np.ndarray) -> np.ndarray:
        window = self._window if len(rows) == _SPECTRUM_LENGTH else np.hanning(len(rows))
        scale = 2.0 / max(float(window.sum()), 1e-30)
        return np.asarray(np.abs(np.fft.rfft(rows * window, _SPECTRUM_LENGTH)) ** 2 * scale**2)
