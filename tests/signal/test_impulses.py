"""Impulses put in at known places are found there, and nothing else is."""

import numpy as np
import pytest

from spindlewright.signal.impulses import ImpulseDetector


def _find(sound: np.ndarray, rate_hz: float, tones_hz: tuple[float, ...] = ()) -> tuple[np.ndarray, np.ndarray]:
    detector = ImpulseDetector(rate_hz, tones_hz)
    size = detector.chunk_multiple * round(1.0 * rate_hz / detector.chunk_multiple)
    planar = np.stack([sound, sound]).astype(np.float32)
    parts = [detector.feed(np.ascontiguousarray(planar[:, k : k + size])) for k in range(0, len(sound) - size, size)]
    return np.concatenate([p.first for p in parts]), np.concatenate([p.last for p in parts])


@pytest.mark.parametrize("rate_hz", [16000, 44100, 48000, 96000, 192000])
@pytest.mark.parametrize("tone", [0.0, 0.2])
def test_finds_every_click_where_it_is(rate_hz: int, tone: float) -> None:
    rng = np.random.default_rng(3)
    count = 10 * rate_hz
    time_s = np.arange(count) / rate_hz
    # A tone with 0.3 % of wow at the platter's rate, and a noise floor 60 dB below full scale.
    phase = 2 * np.pi * 3150 * time_s + 0.003 * 3150 / 0.5556 * np.sin(2 * np.pi * 0.5556 * time_s)
    sound = tone * np.cos(phase) + 1e-3 * rng.standard_normal(count)
    places = np.arange(0.7, 8.5, 0.37)
    width = max(2, round(1e-4 * rate_hz))
    for place in places:
        at = round(place * rate_hz)
        sound[at : at + width] += 0.2 * np.hanning(width + 2)[1:-1]
    first, last = _find(sound, rate_hz, (3150.0,) if tone else ())
    assert len(first) == len(places)
    assert np.all(first / rate_hz < places + 0.0007)
    assert np.all(last / rate_hz > places - 0.0002)
    assert np.all((last - first) / rate_hz < 0.004)


def test_noise_and_steady_tone_alone_give_none() -> None:
    """Ten times the rms is beyond reach of Gaussian noise (chance below 1e-22 a sample)."""
    rng = np.random.default_rng(4)
    time_s = np.arange(20 * 48000) / 48000
    first, _ = _find(
        0.3 * np.cos(2 * np.pi * 3150 * time_s) + 0.01 * rng.standard_normal(len(time_s)), 48000, (3150.0,)
    )
    assert len(first) == 0


@pytest.mark.parametrize("rate_hz", [44100, 96000])
def test_rumble_and_hum_do_not_hide_clicks(rate_hz: int) -> None:
    """Rumble at 30 Hz and hum at 50 and 150 Hz, 26 dB louder than the clicks, which stand 40 dB over the hiss."""
    rng = np.random.default_rng(6)
    time_s = np.arange(6 * rate_hz) / rate_hz
    sound = 1e-4 * rng.standard_normal(len(time_s))
    for frequency_hz, size in ((30.0, 0.1), (50.0, 0.2), (150.0, 0.02)):
        sound += size * np.cos(2 * np.pi * frequency_hz * time_s)
    places = np.arange(0.7, 4.8, 0.37)
    width = max(2, round(1e-4 * rate_hz))
    for place in places:
        at = round(place * rate_hz)
        sound[at : at + width] += 0.01 * np.hanning(width + 2)[1:-1]
    first, _ = _find(sound, rate_hz)
    assert len(first) == len(places)
