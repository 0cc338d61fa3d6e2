"""The phase track: plain unwrapping, bridged ticks, and steps that tell of missing samples."""

import numpy as np
import pytest

from spindlewright.signal.phase_track import PhaseTrack

RATE_HZ = 2000.0


def _wow(count: int) -> np.ndarray:
    """Phase in rad of a 3150 Hz tone with 0.2 % of wow at the platter's rate (closed form)."""
    time_s = np.arange(count) / RATE_HZ
    return 0.002 * 3150 / (100 / 180) * np.sin(2 * np.pi * 100 / 180 * time_s)


def _stereo(phase: np.ndarray, turned: float = 0.0) -> np.ndarray:
    return 0.1 * np.exp(1j * phase)[:, None] * np.array([1.0, np.exp(1j * turned)])


@pytest.mark.parametrize("turned", [0.0, np.pi, 0.4])
def test_follows_the_phase_of_both_channels(turned: float) -> None:
    phase = _wow(4000) + 0.7
    track = PhaseTrack(RATE_HZ, (0.1, 0.1), turned)
    out = np.concatenate(
        [track.feed(_stereo(phase, turned)[k : k + 700], np.zeros(700, bool)[: 4000 - k]) for k in range(0, 4000, 700)]
    )
    assert len(out) == 4000
    np.testing.assert_allclose(out[:, 0] - out[0, 0], phase - phase[0], atol=1e-9)
    np.testing.assert_allclose(out[:, 1], 0.0, atol=1e-9)


def test_bridges_ticks_also_across_feeds() -> None:
    phase = _wow(6000)
    sound = _stereo(phase)
    bad = np.zeros(6000, bool)
    for at in (3, 995, 1003, 2500, 4000, 5990):
        bad[at : at + 10] = True
        sound[at : at + 10] *= np.exp(2.5j)
    track = PhaseTrack(RATE_HZ, (0.1, 0.1))
    out = np.concatenate([track.feed(sound[k : k + 1000], bad[k : k + 1000]) for k in range(0, 6000, 1000)])
    assert len(out) == 5990  # the last bad rows wait for a good one
    np.testing.assert_array_equal(out[:, 2] == 0.0, bad[:5990])
    np.testing.assert_allclose(out[:, 0] - out[100, 0], phase[:5990] - phase[100], atol=2e-3)
    assert not track.jumps


def test_missing_samples_show_as_a_jump_and_are_joined() -> None:
    """100 samples of 96 kHz missing turn a 3150 Hz tone by 2π·3150·100/96000 = 20.6 rad."""
    phase = _wow(4000)
    step = 2 * np.pi * 3150 * 100 / 96000
    phase_after = phase + np.where(np.arange(4000) >= 2000, step, 0.0)
    bad = np.zeros(4000, bool)
    bad[1996:2008] = True
    track = PhaseTrack(RATE_HZ, (0.1, 0.1))
    out = track.feed(_stereo(phase_after), bad)
    assert len(track.jumps) == 1
    assert abs(track.jumps[0].row - 2008) <= 1
    assert track.jumps[0].step_rad == pytest.approx((step + np.pi) % (2 * np.pi) - np.pi, abs=0.05)
    np.testing.assert_allclose(out[:, 0] - out[0, 0], phase - phase[0], atol=0.05)
