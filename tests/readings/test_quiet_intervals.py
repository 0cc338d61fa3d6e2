"""The 95 % intervals of the quiet readings hold the truth as often as they say.

Truth is the process: the area under the noise's own spectrum (scipy's filters) plus the power of the lines put in.
With 300 tries a true 95 % falls within 92 to 98 % except once in 100 runs; seeds are fixed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from quiet_scene import LOW_RATE_HZ, from_low_view
from scipy import signal

from spindlewright.readings.hum import Hum
from spindlewright.readings.rumble import Rumble
from spindlewright.readings.surface_noise import SurfaceNoise

GRID_HZ = np.linspace(0.01, 2000.0, 20_000)
W0 = 2.0 * np.pi * 315.0
HIGH = signal.butter(2, 2 * np.pi * 10.0, "highpass", analog=True)
LOW = signal.butter(4, 2 * np.pi * 500.0, analog=True)
CURVES = {
    "rumble_unweighted": (np.polymul(HIGH[0], LOW[0]), np.polymul(HIGH[1], LOW[1])),
    "rumble_weighted": (np.polymul([W0, 0.0], [W0, 0.0]), np.polymul([1.0, W0, W0**2], [1.0, W0, W0**2])),
}
A_POLES = -2.0 * np.pi * np.array([20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217])


def _power_gain(quantity: str, frequency_hz: np.ndarray) -> np.ndarray:
    return np.abs(signal.freqs(*CURVES[quantity], worN=2.0 * np.pi * np.asarray(frequency_hz))[1]) ** 2


@dataclass
class Groove:
    """A quiet groove at the rate of the low view, and what a perfect reading would say."""

    sound: np.ndarray
    rumble_db: dict[str, float]
    mains_hz: float
    hum_dbfs: dict[int, float]


def _groove(rng: np.random.Generator, hum: bool) -> Groove:
    count = round(rng.uniform(5.0, 20.0) * LOW_RATE_HZ)
    filters = (
        ([1.0], [1.0]),
        signal.butter(2, rng.uniform(15.0, 80.0), fs=LOW_RATE_HZ),
        signal.iirpeak(rng.uniform(8.0, 14.0), rng.uniform(1.0, 3.0), fs=LOW_RATE_HZ),
    )
    b, a = filters[rng.integers(3)]
    density = np.abs(signal.freqz(b, a, GRID_HZ, fs=LOW_RATE_HZ)[1]) ** 2
    level = 10.0 ** (rng.uniform(-70.0, -50.0) / 20.0) / math.sqrt(np.trapezoid(density, GRID_HZ) / 2000.0)
    white = rng.standard_normal((count + 8000, 2))
    sound = level * signal.lfilter(b, a, white, axis=0)[8000:]
    power = {q: 2.0 * level**2 * np.trapezoid(density * _power_gain(q, GRID_HZ), GRID_HZ) / 2000.0 for q in CURVES}
    time_s = np.arange(count) / LOW_RATE_HZ
    mains_hz = 50.0 + rng.uniform(-0.3, 0.3)
    levels: dict[int, float] = {}
    for order in (1, 2, 3, 6) if hum else ():
        levels[order] = rng.uniform(-80.0, -55.0)
        line = 10.0 ** (levels[order] / 20.0) * np.cos(
            2.0 * np.pi * order * mains_hz * time_s + rng.uniform(-np.pi, np.pi)
        )
        sound += line[:, None]
        for q in CURVES:
            power[q] += 10.0 ** (levels[order] / 10.0) * float(_power_gain(q, np.array([order * mains_hz]))[0])
    return Groove(sound, {q: 10.0 * math.log10(p) for q, p in power.items()}, mains_hz, levels)


@pytest.mark.slow
@pytest.mark.parametrize("hum", [False, True])
def test_rumble(hum: bool) -> None:
    rng = np.random.default_rng(11)
    held: dict[str, list[bool]] = {q: [] for q in CURVES}
    for _ in range(150):
        groove = _groove(rng, hum)
        for reading in from_low_view(Rumble(), groove.sound).readings:
            if reading.channel in ("left", "right"):
                held[reading.quantity].append(
                    abs(reading.value - groove.rumble_db[reading.quantity]) <= reading.uncertainty
                )
    for quantity in CURVES:
        assert 0.92 <= np.mean(held[quantity]) <= 0.98, quantity


@pytest.mark.slow
def test_hum_and_its_lines() -> None:
    rng = np.random.default_rng(12)
    held: list[bool] = []
    lines_held: list[bool] = []
    for _ in range(120):
        groove = _groove(rng, True)
        for reading in from_low_view(Hum(), groove.sound).readings[:2]:
            told = reading.conditions["lines"]
            if not told:
                continue
            assert {line["order"] for line in told} <= set(groove.hum_dbfs)
            power = sum(10.0 ** (groove.hum_dbfs[line["order"]] / 10.0) for line in told)
            held.append(abs(reading.value - 10.0 * math.log10(power)) <= reading.uncertainty)
            lines_held += [
                abs(line["level_dbfs"] - groove.hum_dbfs[line["order"]]) <= line["level_uncertainty_db"]
                for line in told
            ]
    assert len(held) > 200
    assert 0.92 <= np.mean(held) <= 0.98
    assert 0.92 <= np.mean(lines_held) <= 0.98


@pytest.mark.slow
def test_mains_frequency() -> None:
    """The recorder's clock drawn from the rectangle of ±0.01 % that the budget states."""
    rng = np.random.default_rng(13)
    held: list[bool] = []
    for _ in range(240):
        true_hz = 50.0 + rng.uniform(-0.3, 0.3)
        shown_hz = true_hz * (1.0 + rng.uniform(-1e-4, 1e-4))
        time_s = np.arange(round(6.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
        sound = 1e-4 * rng.standard_normal((len(time_s), 2))
        for order in (1, 3):
            sound += 1e-3 * np.cos(2.0 * np.pi * order * shown_hz * time_s + rng.uniform(0.0, 6.0))[:, None]
        reading = from_low_view(Hum(), sound).readings[-1]
        assert reading.quantity == "mains_frequency"
        held.append(abs(reading.value - true_hz) <= reading.uncertainty)
    assert 0.92 <= np.mean(held) <= 0.98


@pytest.mark.slow
def test_surface_noise() -> None:
    rng = np.random.default_rng(14)
    rate_hz = 16_000
    grid = np.linspace(1.0, 7200.0, 20_000)
    a_power = np.abs(signal.freqs_zpk([0.0] * 4, A_POLES, 1.0, worN=2.0 * np.pi * grid)[1]) ** 2
    a_power /= np.abs(signal.freqs_zpk([0.0] * 4, A_POLES, 1.0, worN=[2.0 * np.pi * 1000.0])[1][0]) ** 2
    held: list[bool] = []
    for _ in range(150):
        b, a = signal.butter(1, rng.uniform(500.0, 4000.0), fs=rate_hz)
        density = np.abs(signal.freqz(b, a, grid, fs=rate_hz)[1]) ** 2
        level = 10.0 ** (rng.uniform(-80.0, -50.0) / 20.0)
        count = round(rng.uniform(5.0, 12.0) * rate_hz)
        sound = level * signal.lfilter(b, a, rng.standard_normal((count + 1000, 2)), axis=0)[1000:]
        truth = 2.0 * level**2 * np.trapezoid(density * a_power, grid) / (0.5 * rate_hz)
        for reading in from_low_view(SurfaceNoise(), sound.astype(np.float32), rate_hz=rate_hz).readings:
            held.append(abs(reading.value - 10.0 * math.log10(truth)) <= reading.uncertainty)
    assert 0.92 <= np.mean(held) <= 0.98
