"""The survey against closed forms of pure sines, and its independence of block size."""

from __future__ import annotations

import numpy as np
import pytest

from spindlewright.signal.decimation import Decimator, low_pass
from spindlewright.signal.survey import LONGEST_S, Survey
from spindlewright.signal.survey_tracks import SurveyResult

RATES = [8000, 11025, 16000, 22050, 24000, 32000, 44100, 48000, 88200, 96000, 192000, 384000]


def sines(rate: float, hz: float, seconds: float, left: float, right: float, phase: float = 0.0) -> np.ndarray:
    t = np.arange(int(rate * seconds)) / rate
    return np.stack((left * np.sin(2 * np.pi * hz * t), right * np.sin(2 * np.pi * hz * t + phase)), axis=1).astype(
        np.float32
    )


def surveyed(sound: np.ndarray, rate: float, block: int = 65536) -> SurveyResult:
    survey = Survey(rate)
    for start in range(0, len(sound), block):
        survey.feed(sound[start : start + block])
    return survey.result()


@pytest.mark.parametrize("rate", RATES)
def test_a_sine_is_found_with_its_frequency_levels_and_phase_at_every_rate(rate: int) -> None:
    """Witness: the closed form of the sine itself (frequency, squared peaks, angle)."""
    result = surveyed(sines(rate, 1037.3, 2.0, 0.2, 0.1, 0.5), rate)
    frames = slice(2, -2)
    assert result.mid.hz[frames] == pytest.approx(1037.3, rel=1e-5)
    assert result.mid.left[frames] == pytest.approx(0.04, rel=4.6e-3)  # 0.02 dB
    assert result.mid.right[frames] == pytest.approx(0.01, rel=4.6e-3)
    assert np.angle(result.mid.cross[frames]) == pytest.approx(0.5, abs=1e-3)
    assert result.total[frames, 0] == pytest.approx(0.04, rel=5e-3)
    assert result.duration_s == pytest.approx(2.0, abs=1e-3)


@pytest.mark.parametrize("rate", [44100, 96000, 192000])
def test_a_high_tone_is_found_by_the_short_window(rate: int) -> None:
    result = surveyed(sines(rate, 10123.0, 1.0, 0.2, 0.1), rate)
    assert result.high is not None
    assert result.high.hz == pytest.approx(10123.0, rel=2e-4)
    assert result.high.left == pytest.approx(0.04, rel=1e-2)
    assert result.mid.power.max() < 1e-4 * 0.05


def test_the_slow_stream_is_the_sound_below_300_hz_without_delay() -> None:
    """Witness: the sine at the very times of the slow samples."""
    rate = 48000.0
    result = surveyed(sines(rate, 50.0, 2.0, 0.3, 0.1) + sines(rate, 3000.0, 2.0, 0.3, 0.3), rate)
    t = np.arange(result.slow.shape[1]) / result.slow_rate_hz
    inside = slice(50, -50)
    assert result.slow[0, inside] == pytest.approx(0.3 * np.sin(2 * np.pi * 50 * t)[inside], abs=1e-3)


@pytest.mark.parametrize("block", [1, 64, 127, 129, 65536])
def test_block_size_changes_nothing(block: int) -> None:
    rng = np.random.default_rng(3)
    sound = (rng.standard_normal((6000 if block == 1 else 150001, 2)) * 0.1).astype(np.float32)
    whole, parts = surveyed(sound, 44100.0, len(sound)), surveyed(sound, 44100.0, block)
    for name in ("total", "envelope", "high_envelope", "slow"):
        assert np.array_equal(getattr(whole, name), getattr(parts, name)), name
    for name in ("hz", "left", "right", "cross", "floor"):
        assert np.array_equal(getattr(whole.mid, name), getattr(parts.mid, name)), name
        assert np.array_equal(getattr(whole.high, name), getattr(parts.high, name)), name


def test_asking_for_a_result_disturbs_nothing() -> None:
    rng = np.random.default_rng(4)
    sound = (rng.standard_normal((300000, 2)) * 0.1).astype(np.float32)
    asked = Survey(48000.0)
    for start in range(0, len(sound), 40000):
        asked.feed(sound[start : start + 40000])
        asked.result()
    plain = surveyed(sound, 48000.0)
    assert np.array_equal(asked.result().mid.hz, plain.mid.hz)
    assert np.array_equal(asked.result().slow, plain.slow)


def test_what_comes_after_two_hours_is_left_alone() -> None:
    survey = Survey(8000.0)
    minute = np.zeros((8000 * 600, 2), dtype=np.float32)
    for _ in range(13):
        survey.feed(minute)
    result = survey.result()
    assert result.cut_off
    assert result.frames == pytest.approx(LONGEST_S / result.frame_s, abs=1)
    assert result.duration_s == pytest.approx(7800.0)


@pytest.mark.parametrize("frames", [0, 1, 399, 400, 801])
def test_a_recording_shorter_than_a_frame_or_two_is_no_trouble(frames: int) -> None:
    result = surveyed(np.zeros((frames, 2), dtype=np.float32), 8000.0)
    assert result.frames == frames // 400


def test_a_sample_rate_too_low_is_refused() -> None:
    with pytest.raises(ValueError, match="4000 Hz"):
        Survey(2000.0)


def test_the_decimator_is_a_convolution() -> None:
    """Witness: numpy's convolution, sample by sample."""
    rng = np.random.default_rng(5)
    sound = rng.standard_normal((4000, 2)).astype(np.float32)
    out = Decimator(5, parts=6).feed(sound)
    taps = low_pass(5, 6)
    for channel in range(2):
        full = np.convolve(sound[:, channel].astype(float), taps)
        expected = full[(taps.size - 1) // 2 :: 5][: out.shape[1]]
        assert out[channel] == pytest.approx(expected, abs=1e-5)


def test_the_low_pass_keeps_and_stops_what_its_formula_says() -> None:
    """Witness: the discrete Fourier transform of the taps; Kaiser's design formula, 60 dB."""
    response = np.abs(np.fft.rfft(low_pass(8, 8), 8192))
    share = np.arange(response.size) / 8192 * 8  # of the output rate
    half_width = 1.15 * (60 - 8) / (2.285 * 4 * np.pi * 8)  # an empirical formula, good to about a tenth
    assert np.abs(response[share < 0.5 - half_width] - 1).max() < 1.5e-3
    assert response[share > 0.5 + half_width].max() < 1.5e-3
