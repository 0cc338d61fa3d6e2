"""The mixing, decimating filter against closed forms and scipy's own filter on the full-rate signal."""

import numpy as np
import pytest
from scipy import signal as scipy_signal

from spindlewright.signal.decimating_filter import DecimatingFilter, carrier_filter, low_band_filter


def _planar(sound: np.ndarray, multiple: int) -> np.ndarray:
    usable = len(sound) // multiple * multiple
    return np.stack([sound[:usable], 0.5 * sound[:usable]]).astype(np.float32)


@pytest.mark.parametrize("rate_hz", [8000, 44100, 48000, 96000, 192000])
@pytest.mark.parametrize("offset_hz", [0.0, 7.3, 200.0])
def test_carrier_comes_out_with_its_amplitude_and_phase(rate_hz: int, offset_hz: float) -> None:
    """A cosine of amplitude A, phase p comes out as A·exp(j(p + 2π·offset·t)) (closed form)."""
    made = carrier_filter(rate_hz, 2950.0)
    time_s = np.arange(rate_hz) / rate_hz
    sound = 0.5 * np.cos(2 * np.pi * (2950.0 + offset_hz) * time_s + 0.3)
    out = made.feed(_planar(sound, made.decimation))[made.warm_up :]
    at_s = made.output_time_s(made.warm_up) + np.arange(len(out)) / made.output_rate_hz
    expected = 0.5 * np.exp(1j * (0.3 + 2 * np.pi * offset_hz * at_s))
    np.testing.assert_allclose(out[:, 0], expected, atol=0.5 * 1e-3)  # 0.01 dB
    np.testing.assert_allclose(out[:, 1], 0.5 * out[:, 0], atol=1e-6)


def test_equals_scipy_filter_then_decimation() -> None:
    """Independent route: mix at full rate, scipy lfilter with the same window, take every 48th sample."""
    rng = np.random.default_rng(5)
    sound = rng.standard_normal(48 * 200)
    made = DecimatingFilter(96000.0, 48, 10, 600.0, 6.0, 3150.0)
    planar = _planar(sound, 48)
    halves = [made.feed(np.ascontiguousarray(planar[:, a:b])) for a, b in ((0, 48 * 70), (48 * 70, 48 * 200))]
    out = np.concatenate(halves)
    taps = scipy_signal.firwin(480, 600.0, window=("kaiser", 6.0), fs=96000.0)
    mixed = 2 * planar[0].astype(float) * np.exp(-2j * np.pi * 3150.0 * np.arange(48 * 200) / 96000.0)
    expected = scipy_signal.lfilter(taps, 1.0, mixed)[47::48]
    np.testing.assert_allclose(out[:, 0], expected, atol=2e-6)


@pytest.mark.parametrize("rate_hz", [8000, 11025, 44100, 48000, 96000, 384000])
def test_low_band_is_flat_and_free_of_aliases(rate_hz: int) -> None:
    """Flat within 0.01 dB to 1.3 kHz; what would fold below 1.3 kHz is 80 dB down."""
    made = low_band_filter(rate_hz)
    assert 4000.0 <= made.output_rate_hz < 8000.0
    time_s = np.arange(rate_hz // 2) / rate_hz

    def gain_db(frequency_hz: float) -> float:
        fresh = low_band_filter(rate_hz)
        usable = len(time_s) // fresh.decimation * fresh.decimation
        turn = 2 * np.pi * frequency_hz * time_s[:usable]
        out = fresh.feed(np.stack([np.cos(turn), np.sin(turn)]).astype(np.float32))[fresh.warm_up :]
        return float(20 * np.log10(np.max(np.hypot(out[:, 0], out[:, 1])) + 1e-12))

    for frequency_hz in (20.0, 315.0, 1000.0, 1300.0):
        assert abs(gain_db(frequency_hz)) < 0.01
    if made.decimation > 1:
        for folded_hz in (20.0, 315.0, 1299.0):
            assert gain_db(made.output_rate_hz - folded_hz) < -80.0
