"""Ticks are bridged, lines are carried across, and sharp but regular sound is left alone."""

from __future__ import annotations

import numpy as np
import pytest

from spindlewright.signal.tick_bridge import bridge_ticks

RATE_HZ = 4000.0


def _lines(count: int = 8000) -> np.ndarray:
    time_s = np.arange(count) / RATE_HZ
    left = 0.01 * np.cos(2 * np.pi * 24.7 * time_s) + 3e-3 * np.cos(2 * np.pi * 150.0 * time_s + 1.0)
    return np.stack([left, 0.5 * left], axis=1)


def test_lines_go_on_under_a_tick() -> None:
    """What stands in the gap is the lines as they would have been, 40 dB better than leaving it empty."""
    sound = _lines() + 1e-6 * np.random.default_rng(1).standard_normal((8000, 2))
    ticked = sound.copy()
    ticked[4000:4004] += np.array([[0.02], [0.05], [-0.03], [0.01]])
    bridged, share = bridge_ticks(ticked, RATE_HZ)
    # Four samples and the two of the fourth difference on each side, 2 ms before and 8 ms after: at most 49 of 8000.
    assert 0.005 <= share <= 49 / 8000
    error = np.max(np.abs(bridged - sound))
    assert error < 0.01 * np.max(np.abs(sound))
    outside = np.ones(8000, bool)
    outside[3950:4080] = False
    np.testing.assert_array_equal(bridged[outside], ticked[outside])


def test_at_the_edges_too() -> None:
    sound = _lines() + 1e-5 * np.random.default_rng(2).standard_normal((8000, 2))
    for place in (3, 7990):
        ticked = sound.copy()
        ticked[place : place + 3] += 0.05
        bridged, share = bridge_ticks(ticked, RATE_HZ)
        assert share > 0.0
        assert np.max(np.abs(bridged - sound)) < 0.02


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
def test_buzz_is_left_alone(mains_hz: float) -> None:
    """All orders to 1.25 kHz in phase: a pulse in every cycle."""
    time_s = np.arange(8000) / RATE_HZ
    orders = np.arange(1, int(1250.0 / mains_hz) + 1)
    buzz = np.cos(2 * np.pi * mains_hz * np.outer(time_s, orders)).sum(axis=1)[:, None] * np.ones((1, 2))
    sound = 1e-3 * buzz + 1e-6 * np.random.default_rng(3).standard_normal((8000, 2))
    bridged, share = bridge_ticks(sound, RATE_HZ)
    assert share == 0.0
    assert bridged is sound


def test_noise_is_left_alone() -> None:
    """Ten times the rms of Gaussian noise is never reached."""
    rng = np.random.default_rng(4)
    assert all(bridge_ticks(rng.standard_normal((8000, 2)), RATE_HZ)[1] == 0.0 for _ in range(100))


def test_zeros_are_left_alone() -> None:
    bridged, share = bridge_ticks(np.zeros((8000, 2)), RATE_HZ)
    assert share == 0.0
    assert not bridged.any()
