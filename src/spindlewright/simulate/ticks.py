"""Ticks: short bumps of the groove at seeded places, scratches once per turn, and the thump of landing.

A tick is a bump of the wall, so its velocity is the derivative of a bell curve; its size is stated as the peak it has
after RIAA replay in the channel where it is louder.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import fft

from spindlewright.simulate.cartridge import electrical_response
from spindlewright.simulate.groove import Groove
from spindlewright.simulate.randomness import stream
from spindlewright.simulate.spec import REFERENCE_VELOCITY_CM_S, Spec
from spindlewright.standards.iec_60098_2020 import riaa_replay_response


@dataclass(frozen=True, slots=True)
class Ticks:
    """All ticks of a side in order: real time in s, peak velocity in cm/s per wall, peak after replay in dB."""

    time_s: np.ndarray
    left_cm_s: np.ndarray
    right_cm_s: np.ndarray
    peak_db: np.ndarray
    scratch: np.ndarray


def spaced_places(random: np.random.Generator, count: int, start: float, end: float, apart: float) -> np.ndarray:
    """``count`` random places between start and end, nowhere nearer than ``apart``."""
    room = (end - start) - apart * (count - 1)
    if count == 0:
        return np.zeros(0)
    if room <= 0.0:
        raise ValueError(
            f"disc.ticks_per_minute: {count} ticks {apart:g} s apart do not fit into {end - start:.3g} s of groove"
        )
    return np.asarray(start + np.sort(random.uniform(0.0, room, count)) + apart * np.arange(count))


def peak_after_replay(spec: Spec) -> float:
    """Peak after RIAA replay of a tick with unit peak velocity at the stylus."""
    width_s = 1e-6 * spec.disc.tick_width_us
    rate = 64.0 / width_s
    size = 1 << int(np.ceil(np.log2(0.02 * rate)))
    t = (np.arange(size) - size // 8) / rate
    f = np.arange(size // 2 + 1) * rate / size
    response = riaa_replay_response(f)
    electrical = spec.cartridge.electrical
    if electrical is not None:
        at_reference = abs(electrical_response(electrical, np.array([1000.0]))[0])
        response = response * electrical_response(electrical, f) / at_reference
    return float(np.max(np.abs(fft.irfft(fft.rfft(tick_shape(t, width_s)) * response, size))))


def tick_shape(t: np.ndarray, width_s: float) -> np.ndarray:
    """Velocity of a tick centred at 0 with peak 1; ``width_s`` lies between its two peaks."""
    u = t / (0.5 * width_s)
    return np.asarray(-u * np.exp(0.5 - 0.5 * u * u))


def ticks_of(spec: Spec, groove: Groove) -> Ticks:
    """Every tick and scratch of the side, the same for the same seed."""
    disc, random = spec.disc, stream(spec.seed, "ticks")
    count = round(disc.ticks_per_minute * groove.end / 60.0)
    places = spaced_places(random, count, 0.0, groove.end, disc.ticks_apart_s)
    peak_db = disc.tick_peak_db + disc.tick_spread_db * random.standard_normal(count)
    angle = random.uniform(0.0, 2.0 * np.pi, count)
    scratch = np.zeros(count, bool)
    for band in groove.bands:
        for _ in range(band.cut.scratches_per_turn):
            turn_s = 60.0 / disc.rated_rpm
            own = np.arange(band.start + random.uniform(0.0, turn_s), band.end, turn_s)
            places = np.concatenate([places, own])
            peak_db = np.concatenate([peak_db, np.full(own.size, band.cut.scratch_peak_db)])
            angle = np.concatenate([angle, np.full(own.size, random.uniform(0.0, 2.0 * np.pi))])
            scratch = np.concatenate([scratch, np.ones(own.size, bool)])
    order = np.argsort(places)
    unit = REFERENCE_VELOCITY_CM_S / peak_after_replay(spec) if places.size else 1.0
    peak = unit * 10.0 ** (peak_db[order] / 20.0)
    share = np.array([np.cos(angle[order]), np.sin(angle[order])])
    share /= np.max(np.abs(share), axis=0) if places.size else 1.0
    times = groove.times_of(places[order])
    return Ticks(times, peak * share[0], peak * share[1], peak_db[order], scratch[order])


class TickPulses:
    """Adds ticks and the landing thump to the wall velocities."""

    def __init__(self, spec: Spec, groove: Groove, ticks: Ticks) -> None:
        self.ticks, self.width_s = ticks, 1e-6 * spec.disc.tick_width_us
        self.rate_hz = groove.timebase.true_rate_hz
        self.landing_s = groove.landing_s
        drop = spec.take.needle_drop_db
        self.drop_cm_s = 0.0 if drop is None else REFERENCE_VELOCITY_CM_S * 10.0 ** (drop / 20.0)

    def add(self, walls: np.ndarray, first_sample: int) -> None:
        """Add what falls into ``walls`` (2, n), whose first column is sample ``first_sample``."""
        count = walls.shape[1]
        reach = 4.0 * self.width_s
        start_s, end_s = first_sample / self.rate_hz, (first_sample + count) / self.rate_hz
        first, last = np.searchsorted(self.ticks.time_s, (start_s - reach, end_s + reach))
        for i in range(first, last):
            at = self.ticks.time_s[i]
            a = max(0, int(np.ceil((at - reach) * self.rate_hz)) - first_sample)
            b = min(count, int((at + reach) * self.rate_hz) + 1 - first_sample)
            if a < b:
                shape = tick_shape((first_sample + np.arange(a, b)) / self.rate_hz - at, self.width_s)
                walls[0, a:b] += self.ticks.left_cm_s[i] * shape
                walls[1, a:b] += self.ticks.right_cm_s[i] * shape
        if self.drop_cm_s and self.landing_s < end_s and start_s < self.landing_s + 1.0:
            t = (first_sample + np.arange(count)) / self.rate_hz - self.landing_s
            thump = self.drop_cm_s * _landing(t)
            walls[0] += thump
            walls[1] -= 0.7 * thump


def _landing(t: np.ndarray) -> np.ndarray:
    """Velocity of landing: a click and a bounce of some 25 Hz that dies out within 0.2 s; peak about 1."""
    u = np.clip(t, 0.0, 1.0)
    bounce = np.exp(-u / 0.04) * np.sin(2.0 * np.pi * 25.0 * u) + np.exp(-u / 0.0004) * np.sin(np.pi * u / 0.0008)
    return np.asarray(np.where((t >= 0.0) & (t < 1.0), bounce, 0.0))
