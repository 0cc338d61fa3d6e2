"""Surface noise against the A-weighting as scipy makes it from its poles, and clicks left out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from quiet_scene import from_low_view, quiet_band, reference, through_listener
from scipy import signal

from spindlewright.readings.method import Observation, Stretch
from spindlewright.readings.side import Side
from spindlewright.readings.surface_noise import SurfaceNoise

POLES_HZ = [20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217]
"""IEC 61672-1 Annex E, from memory."""


def _a_gain(frequency_hz: np.ndarray) -> np.ndarray:
    poles = [-2.0 * np.pi * p for p in POLES_HZ]
    at = signal.freqs_zpk([0.0] * 4, poles, 1.0, worN=2.0 * np.pi * np.append(frequency_hz, 1000.0))[1]
    return np.abs(at[:-1]) / abs(at[-1])


@pytest.mark.parametrize("rate_hz", [8000, 22050, 44100, 48000, 96000, 176400, 384000])
def test_weighting_is_exact_at_any_rate(rate_hz: int) -> None:
    upper = min(20_000.0, 0.45 * rate_hz)
    for frequency_hz in (31.5, 100.0, 1000.0, 3150.0, 10_000.0, 19_000.0):
        if frequency_hz > 0.9 * upper:
            continue
        time_s = np.arange(round(1.6 * rate_hz)) / rate_hz
        sound = (0.1 * np.cos(2.0 * np.pi * frequency_hz * time_s))[:, None] * np.array([[1.0, 0.25]])
        left, right = from_low_view(SurfaceNoise(), sound.astype(np.float32), rate_hz=rate_hz).readings
        expected = -20.0 + 20.0 * math.log10(_a_gain(np.array([frequency_hz]))[0])
        assert left.value == pytest.approx(expected, abs=0.02)
        assert right.value == pytest.approx(expected - 12.0412, abs=0.02)
        assert left.conditions["upper_hz"] == pytest.approx(upper, rel=0.01)


def test_white_noise_has_the_area_under_the_curve() -> None:
    rate_hz = 48_000
    sound = 1e-3 * np.random.default_rng(1).standard_normal((20 * rate_hz, 2))
    grid = np.linspace(1.0, 20_000.0, 40_000)
    power = np.trapezoid(_a_gain(grid) ** 2, grid) / 24_000.0 * 1e-6 * 2.0
    for reading in through_listener(SurfaceNoise(), sound, rate_hz).readings:
        assert abs(reading.value - 10.0 * math.log10(power)) < 1.5 * reading.uncertainty
        assert reading.uncertainty < 0.1


@pytest.mark.parametrize("rate_hz", [44_100, 96_000])
def test_clicks_are_left_out(rate_hz: int) -> None:
    """60 clicks a minute, 40 dB over the noise: the reading moves by less than its uncertainty."""
    rng = np.random.default_rng(2)
    noise = 1e-3 * rng.standard_normal((20 * rate_hz, 2))
    time_s = np.arange(len(noise)) / rate_hz
    noise += 3e-3 * np.cos(2.0 * np.pi * 30.0 * time_s)[:, None]
    clicks = np.zeros_like(noise)
    width = round(2e-4 * rate_hz)
    for place in rng.integers(0, len(noise) - 2 * width, 20):
        clicks[place : place + width] += 0.2 * np.hanning(width)[:, None]
    clean = through_listener(SurfaceNoise(), noise, rate_hz).readings[0]
    dirty = through_listener(SurfaceNoise(), noise + clicks, rate_hz).readings[0]
    assert abs(dirty.value - clean.value) < dirty.uncertainty
    assert 17 <= dirty.conditions["clicks_left_out"] <= 20
    assert dirty.conditions["left_out_s"] == pytest.approx(20 * 0.0102, rel=0.25)
    loud = 10.0 * math.log10(np.mean((noise + clicks)[:, 0] ** 2) / np.mean(noise[:, 0] ** 2))
    assert loud > 1.0  # they would have been heard


def test_block_size_changes_nothing() -> None:
    rate_hz = 44_100
    sound = (1e-3 * np.random.default_rng(3).standard_normal((3 * rate_hz, 2))).astype(np.float32)
    whole, small = (through_listener(SurfaceNoise(), sound, rate_hz, block=n).readings for n in (10**6, 127))
    assert [r.value for r in whole] == [r.value for r in small]


def test_long_bands_are_heard_in_samples_that_stand_for_all() -> None:
    """The last minutes 6 dB louder: the mean power of the whole is what counts, (4 + 4·4)/8 of the quiet part."""
    rate_hz = 8000
    rng = np.random.default_rng(4)
    method = SurfaceNoise()
    band = quiet_band(480.0)
    side = Side(sample_rate_hz=rate_hz, bands=(band,))
    state = method.start(Stretch(band, rate_hz, band.start_s), side)
    for minute in range(8):
        level = 1e-3 if minute < 4 else 2e-3
        state.feed((level * rng.standard_normal((60 * rate_hz, 2))).astype(np.float32))
    left = method.conclude([Observation(band, state.observe())], side, {}).readings[0]
    quiet = from_low_view(
        method, (1e-3 * rng.standard_normal((20 * rate_hz, 2))).astype(np.float32), rate_hz=rate_hz
    ).readings[0]
    assert left.value - quiet.value == pytest.approx(10.0 * math.log10(20.0 / 8.0), abs=0.15)
    assert left.conditions["duration_s"] == pytest.approx(480.0, abs=10.0)
    assert left.conditions["heard_s"] == pytest.approx(120.0 + 60.0, abs=6.0)


def test_told_against_the_reference() -> None:
    rate_hz = 16_000
    sound = (1e-3 * np.random.default_rng(5).standard_normal((2 * rate_hz, 2))).astype(np.float32)
    absolute = from_low_view(SurfaceNoise(), sound, rate_hz=rate_hz).readings[1]
    relative = from_low_view(SurfaceNoise(), sound, earlier=reference(-20.0, -21.0, 6.0206), rate_hz=rate_hz).readings[
        1
    ]
    assert relative.value == pytest.approx(absolute.value + 21.0 - 6.0206, abs=1e-9)
    assert (absolute.unit, relative.unit) == ("dBFS", "dB")
