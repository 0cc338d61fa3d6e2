"""Noise of the groove itself: independent on both walls, repeating turn by turn in a closed run-out groove."""

from __future__ import annotations

import numpy as np
from scipy import fft, signal

from spindlewright.simulate.cartridge import treble_response
from spindlewright.simulate.equalisation import matched_recording_section, replay_gain, section_response
from spindlewright.simulate.groove import PlacedBand
from spindlewright.simulate.randomness import stream
from spindlewright.simulate.spec import REFERENCE_VELOCITY_CM_S, Spec
from spindlewright.standards.iec_61672_1_2013 import a_weighting_response

_FINER = 4


def noise_shape(spec: Spec, frequency_hz: np.ndarray, rate_hz: float) -> np.ndarray:
    """Magnitude after RIAA replay of groove noise that is white (or pre-emphasised) at the stylus, level apart."""
    at_stylus = np.ones(frequency_hz.shape)
    if spec.disc.surface_noise_shape == "flat":
        at_stylus = np.abs(section_response(matched_recording_section(rate_hz), frequency_hz, rate_hz))
    return np.asarray(at_stylus * replay_gain(frequency_hz) * np.abs(treble_response(spec.cartridge, frequency_hz)))


def mean_weighted_power(spec: Spec, rate_hz: float) -> float:
    """A-weighted power after RIAA replay of white groove noise of power 1, up to half the rate."""
    f = (np.arange(8192) + 0.5) / 8192 * 0.5 * rate_hz
    return float(np.mean((noise_shape(spec, f, rate_hz) * np.abs(a_weighting_response(f))) ** 2))


def noise_velocity_cm_s(spec: Spec, rate_hz: float) -> float:
    """Rms velocity of the white noise behind ``disc.surface_noise_db``."""
    if spec.disc.surface_noise_db is None:
        return 0.0
    weighted = np.sqrt(mean_weighted_power(spec, rate_hz))
    reference = REFERENCE_VELOCITY_CM_S / np.sqrt(2.0)
    return float(reference * 10.0 ** (spec.disc.surface_noise_db / 20.0) / weighted)


class GrooveNoise:
    """Streaming groove noise on the wall velocities."""

    def __init__(self, spec: Spec, bands: tuple[PlacedBand, ...], end: float, rate_hz: float) -> None:
        self._rms = noise_velocity_cm_s(spec, rate_hz)
        self._end = end
        self._random = stream(spec.seed, "groove noise")
        flat = spec.disc.surface_noise_shape == "flat"
        self._recording = matched_recording_section(rate_hz) if flat else None
        self._state = np.zeros((1, 2, 2))
        self._closed = [b for b in bands if b.cut.kind == "run_out"] if self._rms else []
        self._turns_per_s = spec.disc.rated_rpm / 60.0
        self._turns: dict[int, np.ndarray] = {}
        self._spec, self._rate_hz = spec, rate_hz

    def add(self, walls: np.ndarray, groove_time: np.ndarray) -> None:
        """Add noise to ``walls`` (2, n) where the stylus is in the groove."""
        if not self._rms:
            return
        count = groove_time.size
        noise = self._random.standard_normal((2, count), dtype=np.float32) * np.float32(self._rms)
        if self._recording is not None:
            noise, self._state = signal.sosfilt(self._recording, noise.astype(float), axis=1, zi=self._state)
        first, last = np.searchsorted(groove_time, (0.0, self._end))
        for band in self._closed:
            a, b = np.searchsorted(groove_time, (band.start, band.end))
            if a < b:
                noise[:, a:b] = self._closed_groove(band.index, groove_time[a:b] - band.start)
        walls[:, first:last] += noise[:, first:last]

    def _closed_groove(self, index: int, u: np.ndarray) -> np.ndarray:
        if index not in self._turns:
            self._turns[index] = self._one_turn(index)
        table = self._turns[index]
        place = u * self._turns_per_s
        place = (place - np.floor(place)) * (table.shape[1] - 1)
        low = place.astype(np.int64)
        return np.asarray(table[:, low] + (place - low) * (table[:, low + 1] - table[:, low]))

    def _one_turn(self, index: int) -> np.ndarray:
        """One turn of noise (2, samples + 1), finer than the sample rate so that it can be read in between."""
        samples = fft.next_fast_len(round(self._rate_hz / self._turns_per_s), real=True)
        noise = stream(self._spec.seed, f"run-out {index}").standard_normal((2, samples)) * self._rms
        spectrum = fft.rfft(noise, axis=1)
        if self._recording is not None:
            f = np.arange(spectrum.shape[1]) * 0.5 * self._rate_hz / spectrum.shape[1]
            spectrum *= section_response(self._recording, f, self._rate_hz)
        table = fft.irfft(spectrum, samples * _FINER, axis=1) * _FINER
        return np.concatenate([table, table[:, :1]], axis=1)
