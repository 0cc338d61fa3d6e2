"""Rumble against closed forms and scipy's analogue filters; nothing here uses the package's own curves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from quiet_scene import LOW_RATE_HZ, from_low_view, mains, reference, through_listener
from scipy import signal

from spindlewright.readings.hum import Hum
from spindlewright.readings.reading import Reading
from spindlewright.readings.rumble import Rumble
from spindlewright.standards.jcgm_101_2008 import Contribution

W0 = 2.0 * np.pi * 315.0
UNWEIGHTED = (
    np.polymul(
        signal.butter(2, 2 * np.pi * 10.0, "highpass", analog=True)[0],
        signal.butter(4, 2 * np.pi * 500.0, analog=True)[0],
    ),
    np.polymul(
        signal.butter(2, 2 * np.pi * 10.0, "highpass", analog=True)[1],
        signal.butter(4, 2 * np.pi * 500.0, analog=True)[1],
    ),
)
WEIGHTED = (np.polymul([W0, 0.0], [W0, 0.0]), np.polymul([1.0, W0, W0**2], [1.0, W0, W0**2]))


def _gain_db(filter_: tuple[np.ndarray, np.ndarray], frequency_hz: float) -> float:
    response = signal.freqs(*filter_, worN=[2.0 * np.pi * frequency_hz])[1]
    return float(20.0 * np.log10(abs(response[0])))


def _by(outcome, quantity: str) -> dict[str, Reading]:
    return {r.channel: r for r in outcome.readings if r.quantity == quantity}


@pytest.mark.parametrize("seconds", [6.0, 21.0])
@pytest.mark.parametrize("frequency_hz", [5.0, 7.3, 10.0, 16.7, 31.5, 100.0, 315.0, 497.0, 800.0, 1000.0])
def test_curves_are_exact_for_a_sine(frequency_hz: float, seconds: float) -> None:
    """Within 0.1 dB of scipy's analogue design from 5 to 1000 Hz; −3.01 dB at 10 Hz, 0 dB at 315 Hz weighted."""
    time_s = np.arange(round(seconds * LOW_RATE_HZ)) / LOW_RATE_HZ
    sound = 0.1 * np.cos(2.0 * np.pi * frequency_hz * time_s + 0.4)[:, None] * np.array([[1.0, 0.5]])
    outcome = from_low_view(Rumble(), sound)
    for quantity, filter_ in (("rumble_unweighted", UNWEIGHTED), ("rumble_weighted", WEIGHTED)):
        found = _by(outcome, quantity)
        expected = -20.0 + _gain_db(filter_, frequency_hz)
        assert found["left"].value == pytest.approx(expected, abs=0.02)
        assert found["right"].value == pytest.approx(expected - 6.0206, abs=0.02)


def test_white_noise_has_the_area_under_the_curve() -> None:
    """Power density times the integral of the squared gain, integrated here over scipy's response."""
    rng = np.random.default_rng(1)
    sound = 1e-3 * rng.standard_normal((round(120.0 * LOW_RATE_HZ), 2))
    grid = np.linspace(0.01, 2000.0, 200_000)
    outcome = from_low_view(Rumble(), sound)
    for quantity, filter_ in (("rumble_unweighted", UNWEIGHTED), ("rumble_weighted", WEIGHTED)):
        gain = np.abs(signal.freqs(*filter_, worN=2.0 * np.pi * grid)[1])
        power = np.trapezoid(gain**2, grid) / 2000.0 * 1e-6 * 2.0
        for reading in _by(outcome, quantity).values():
            assert abs(reading.value - 10.0 * math.log10(power)) < 1.5 * reading.uncertainty
            assert reading.uncertainty < 0.1


def test_lateral_and_vertical() -> None:
    """L = R is lateral, L = −R vertical; each then has 3.01 dB more than one channel, the other nothing."""
    time_s = np.arange(round(12.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
    sine = 0.01 * np.cos(2.0 * np.pi * 100.0 * time_s)
    for sign, there, gone in ((1.0, "lateral", "vertical"), (-1.0, "vertical", "lateral")):
        found = _by(from_low_view(Rumble(), np.stack([sine, sign * sine], axis=1)), "rumble_unweighted")
        assert found[there].value == pytest.approx(found["left"].value + 3.0103, abs=1e-3)
        assert found[gone].value < found["left"].value - 100.0


def test_balance_is_taken_out_before_the_mix() -> None:
    """Left 2 dB louder for equal modulation: a lateral line then has no vertical part."""
    time_s = np.arange(round(12.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
    sine = 0.01 * np.cos(2.0 * np.pi * 100.0 * time_s)
    sound = np.stack([sine * 10.0 ** (2.0 / 20.0), sine], axis=1)
    balance = Reading("channel_balance", 2.0, "dB", 0.02, (Contribution("noise", 0.01),), "", "")
    found = _by(from_low_view(Rumble(), sound, earlier={"channel_balance": [balance]}), "rumble_unweighted")
    assert found["vertical"].value < found["lateral"].value - 40.0
    known = reference(-19.0, -21.0, 0.0) | {"channel_balance": [balance]}
    found = _by(from_low_view(Rumble(), sound, earlier=known), "rumble_unweighted")
    # Re 10 cm/s in the direction read: a lateral line reads 3.01 dB more than in one channel.
    assert found["left"].value == pytest.approx(found["right"].value, abs=1e-6)
    assert found["lateral"].value == pytest.approx(found["left"].value + 3.0103, abs=1e-3)
    assert found["lateral"].unit == "dB"


def test_inverted_channel_is_turned_back() -> None:
    time_s = np.arange(round(12.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
    sine = 0.01 * np.cos(2.0 * np.pi * 100.0 * time_s)
    found = _by(
        from_low_view(Rumble(), np.stack([sine, -sine], axis=1), {"polarity": "inverted"}), "rumble_unweighted"
    )
    assert found["lateral"].value > found["vertical"].value + 100.0


def test_without_mains_lines() -> None:
    """Noise alone reads what noise and hum read without the lines."""
    rng = np.random.default_rng(2)
    noise = 1e-4 * rng.standard_normal((round(40.0 * LOW_RATE_HZ), 2))
    time_s = np.arange(len(noise)) / LOW_RATE_HZ
    hum = mains(time_s, 50.02, {1: (-50.0, 0.0), 3: (-55.0, 0.0)})[:, None]
    earlier = {"hum": list(from_low_view(Hum(), noise + hum).readings[:2])}
    both = from_low_view(Rumble(), noise + hum, earlier=earlier)
    alone = from_low_view(Rumble(), noise)
    for quantity in ("rumble_unweighted", "rumble_weighted"):
        for channel in ("left", "right"):
            quiet = _by(alone, quantity)[channel].value
            reading = _by(both, quantity)[channel]
            assert reading.value > quiet + 3.0
            assert reading.conditions["without_mains_lines_db"] == pytest.approx(quiet, abs=0.15)


def test_flat_chain_is_equalised_here() -> None:
    """Replay gain at 100 Hz: +13.088 dB (published values 4)."""
    time_s = np.arange(round(12.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
    sound = 0.01 * np.cos(2.0 * np.pi * 100.0 * time_s)[:, None] * np.ones((1, 2))
    plain = _by(from_low_view(Rumble(), sound), "rumble_weighted")["left"]
    flat = _by(from_low_view(Rumble(), sound, {"chain": "flat"}), "rumble_weighted")["left"]
    assert flat.value - plain.value == pytest.approx(13.088, abs=0.01)
    assert flat.conditions["equalised_here"] is True


def test_unknown_velocity_is_said() -> None:
    sound = 1e-3 * np.random.default_rng(3).standard_normal((round(6.0 * LOW_RATE_HZ), 2))
    reading = from_low_view(Rumble(), sound, earlier=reference(-20.0, -20.0, None)).readings[0]
    assert reading.conditions["velocity_known"] is False
    assert reading.unit == "dB"
    assert from_low_view(Rumble(), sound).readings[0].unit == "dBFS"


def test_ticks_are_bridged() -> None:
    """60 ticks a minute, 20 dB over the noise of the groove: weighted rumble moves by less than its uncertainty."""
    rate_hz = 48_000
    rng = np.random.default_rng(4)
    noise = signal.sosfilt(
        signal.butter(2, 60.0, fs=rate_hz, output="sos"), rng.standard_normal((24 * rate_hz, 2)), axis=0
    )
    noise = 1e-2 * noise + 1e-4 * rng.standard_normal(noise.shape)
    ticks = np.zeros_like(noise)
    for place in rng.integers(0, len(ticks) - 100, 24):
        ticks[place : place + 48] += 0.1 * np.hanning(48)[:, None]
    clean, dirty = (through_listener(Rumble(), sound, rate_hz) for sound in (noise, noise + ticks))
    for quantity in ("rumble_unweighted", "rumble_weighted"):
        for channel in ("left", "vertical"):
            reading = _by(dirty, quantity)[channel]
            assert abs(reading.value - _by(clean, quantity)[channel].value) < reading.uncertainty
    # The ticks alone would have been heard: their power under the weighted curve, by one Fourier sum.
    frequency = np.fft.rfftfreq(len(ticks), 1.0 / rate_hz)[1:]
    gain = np.abs(signal.freqs(*WEIGHTED, worN=2.0 * np.pi * frequency)[1])
    power = 4.0 * np.sum(np.abs(np.fft.rfft(ticks[:, 0])[1:] * gain) ** 2) / len(ticks) ** 2
    assert 10.0 * math.log10(power) > _by(clean, "rumble_weighted")["left"].value
