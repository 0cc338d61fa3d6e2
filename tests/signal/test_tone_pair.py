"""Segment values of a two-channel tone: exact on a pure tone, blind to wow, ticks and noise common to both."""

from __future__ import annotations

import numpy as np
import pytest

from spindlewright.signal.tone_pair import TonePairTrack

RATE = 2000.0


def tone(seconds: float, left: complex, right: complex, offset_hz: float = 0.0) -> np.ndarray:
    t = np.arange(int(seconds * RATE)) / RATE
    return np.exp(2j * np.pi * offset_hz * t)[:, None] * np.array([left, right])[None, :]


@pytest.mark.parametrize("offset_hz", [0.0, 3.7, -40.0])
def test_pure_tone_gives_its_ratio_and_power_off_centre_too(offset_hz: float) -> None:
    track = TonePairTrack(RATE)
    track.feed(tone(2.0, 0.5, 0.05j, offset_hz))
    seen = track.segments()
    assert len(seen.left) == 20
    assert np.allclose(seen.right_over_left, 0.1j, atol=1e-9)
    assert np.allclose(seen.left, 0.25, rtol=1e-9)


@pytest.mark.parametrize("rate_hz", [2000.0, 500.0, 125.0, 32.0, 1837.5])
def test_segments_at_every_rate_of_the_view(rate_hz: float) -> None:
    track = TonePairTrack(rate_hz)
    track.feed(np.tile([0.2 + 0j, 0.1 + 0j], (int(20 * rate_hz), 1)))
    assert 0.09 <= track.segment_s <= 0.7
    assert np.allclose(track.segments().right, 0.01)


@pytest.mark.parametrize("block", [1, 64, 127, 129, 4000])
def test_block_size_changes_nothing(block: int) -> None:
    rng = np.random.default_rng(1)
    z = tone(1.3, 0.4, 0.02) + 0.01 * (rng.standard_normal((2600, 2)) + 1j * rng.standard_normal((2600, 2)))
    whole, parts = TonePairTrack(RATE), TonePairTrack(RATE)
    whole.feed(z)
    for at in range(0, len(z), block):
        parts.feed(z[at : at + block])
    a, b = whole.segments(), parts.segments()
    assert np.allclose(a.right_over_left, b.right_over_left, rtol=1e-12, atol=0.0)
    assert np.allclose(a.left, b.left, rtol=1e-12, atol=0.0)
    assert np.allclose(a.coherence, b.coherence, rtol=1e-12, atol=0.0)


def test_ticks_are_left_out() -> None:
    rng = np.random.default_rng(2)
    z = tone(10.0, 0.4, 0.004) + 1e-4 * (rng.standard_normal((20000, 2)) + 1j * rng.standard_normal((20000, 2)))
    hit = z.copy()
    for at in rng.integers(0, 19990, 40):
        hit[at : at + 2] += 0.3 * np.exp(2j * np.pi * rng.uniform())
    clean, ticked = TonePairTrack(RATE), TonePairTrack(RATE)
    clean.feed(z)
    ticked.feed(hit)
    a, b = clean.segments(), ticked.segments()
    assert len(b.left) == len(a.left)
    assert abs(np.mean(b.right_over_left) - np.mean(a.right_over_left)) < 2e-5
    # Without leaving them out the mean would be off by far more, so the test can fail:
    plain = np.sum(hit[:, 1] * hit[:, 0].conj()) / np.sum(np.abs(hit[:, 0]) ** 2)
    assert abs(plain - 0.01) > 1e-4


def test_noise_common_to_both_channels_does_not_pose_as_a_leak() -> None:
    # Noise of -30 dB in common: sample by sample the cross power is off by 1e-3, against a smooth phase by far less.
    rng = np.random.default_rng(3)
    z = tone(60.0, 1.0, 0.0)
    z = z + 10 ** (-30 / 20) * np.sqrt(0.5) * (
        rng.standard_normal((len(z), 1)) + 1j * rng.standard_normal((len(z), 1))
    )
    track = TonePairTrack(RATE)
    track.feed(z)
    seen = track.segments()
    plain = np.sum(z[:, 1] * z[:, 0].conj()) / np.sum(np.abs(z[:, 0]) ** 2)
    assert abs(plain) > 8e-4
    assert abs(np.mean(seen.right_over_left)) < 2.5e-4


def test_hum_common_to_both_channels_does_not_pose_as_a_leak() -> None:
    # 250 Hz under a tone of 315 Hz, 30 dB down in both channels: sample by sample the cross power is off by 1e-3.
    z = tone(20.0, 1.0, 0.005)
    t = np.arange(len(z)) / RATE
    z = z + 10 ** (-30 / 20) * np.exp(2j * np.pi * (-65.0 + 0.013) * t)[:, None]
    track = TonePairTrack(RATE)
    track.feed(z)
    plain = np.sum(z[:, 1] * z[:, 0].conj()) / np.sum(np.abs(z[:, 0]) ** 2)
    assert abs(plain - 0.005) > 8e-4
    assert abs(np.mean(track.segments().right_over_left) - 0.005) < 2e-5


def test_noise_power_is_taken_off_the_level() -> None:
    # 20 dB of noise in the view: the plain mean square of 5 ms cells is 0.1 % high (0.01 / 10 samples).
    rng = np.random.default_rng(4)
    z = tone(200.0, 1.0, 1.0)
    z = z + 0.1 * np.sqrt(0.5) * (rng.standard_normal(z.shape) + 1j * rng.standard_normal(z.shape))
    track = TonePairTrack(RATE)
    track.feed(z)
    assert np.mean(track.segments().left) == pytest.approx(1.0, abs=2e-4)


def test_silence_gives_no_segment() -> None:
    track = TonePairTrack(RATE)
    track.feed(np.zeros((4000, 2), complex))
    assert len(track.segments().left) == 0


def test_coherence_tells_a_tone_from_noise() -> None:
    rng = np.random.default_rng(6)
    noise = rng.standard_normal((20000, 2)) + 1j * rng.standard_normal((20000, 2))
    alone, under = TonePairTrack(RATE), TonePairTrack(RATE)
    alone.feed(noise)
    under.feed(tone(10.0, 10.0, 1.0) + noise)
    assert np.median(alone.segments().coherence) < 0.4
    assert np.median(under.segments().coherence) > 0.95
