"""Word length, clipping, offset, lost samples, wrong rates and gain that moves."""

from __future__ import annotations

import numpy as np
import pytest
from listening_tools import decibels

from spindlewright.simulate import Spec, frames, render
from spindlewright.simulate.recorder import as_integers
from spindlewright.simulate.spec import AutomaticGain, CutBand, DropOut, Missing, Phono, Recorder, Take

SHORT = Take(lifted_before_s=0.5, lead_in_s=0.1, lead_out_s=0.1, lifted_after_s=0.5)


def recorded(level_dbfs: float = -20.0, kind: str = "left", bands: tuple[CutBand, ...] = (), **knobs):
    knobs.setdefault("rate_hz", 48_000)
    knobs.setdefault("noise_dbfs", None)
    bands = bands or (CutBand(kind=kind, seconds=1.0),)
    return render(Spec(recorder=Recorder(**knobs), take=SHORT, phono=Phono(level_dbfs=level_dbfs), bands=bands))


@pytest.mark.parametrize("bits", [16, 24, 32])
def test_samples_are_whole_steps(bits: int) -> None:
    """Every sample is a whole number of steps of 2^−(bits−1), and the writer's numbers give it back."""
    x = recorded(bits=bits).samples
    assert x.dtype == (np.float64 if bits == 32 else np.float32)
    steps = x.astype(float) * 2.0 ** (bits - 1)
    np.testing.assert_array_equal(steps, np.rint(steps))
    whole = as_integers(x, bits)
    scale = 2.0**15 if bits == 16 else 2.0**31
    np.testing.assert_array_equal(whole.astype(float) / scale, x.astype(float))


def test_rounding_noise_of_16_bits() -> None:
    """98.09 dB below a full-scale sine (published-values 18, derived) for a busy signal."""
    coarse, fine = recorded(-3.0, bits=16), recorded(-3.0, bits="float")
    band = coarse.truth.bands[0]
    part = slice(round(band.start_s * 48_000), round(band.end_s * 48_000))
    error = coarse.samples[part, 0].astype(float) - fine.samples[part, 0]
    assert decibels(np.std(error) * np.sqrt(2.0)) == pytest.approx(-98.09, abs=0.6)


def test_full_scale_and_clipping() -> None:
    """A tone 6 dB over full scale stops at ±1 in the file, or at the level where the input clips."""
    assert recorded(6.0, bits=16).samples.max() == 1.0 - 2.0**-15
    assert recorded(6.0, bits=16).samples.min() == -1.0
    clipped = recorded(0.0, clip_dbfs=-6.0, bits="float")
    assert np.max(np.abs(clipped.samples)) == pytest.approx(10.0 ** (-6.0 / 20.0), rel=1e-6)
    assert "clipped" in clipped.truth.defects


def test_converter_noise_offset_and_dead_channel() -> None:
    """Noise rms re the rms of a full-scale sine (AES17), constant offset, a channel with nothing else."""
    side = recorded(noise_dbfs=-70.0, offset_left=0.02, dead="right", bits="float")
    x = side.samples[:20_000].astype(float)
    np.testing.assert_allclose(decibels(x.std(axis=0) * np.sqrt(2.0)), -70.0, atol=0.2)
    np.testing.assert_allclose(x.mean(axis=0), [0.02, 0.0], atol=1e-5)
    assert decibels(side.samples[:, 1].std() * np.sqrt(2.0)) == pytest.approx(-70.0, abs=0.2)


def test_mono_carries_the_mean() -> None:
    """A left-only tone comes out on both channels 6.02 dB down."""
    side, stereo = recorded(mono=True, bits="float"), recorded(bits="float")
    np.testing.assert_array_equal(side.samples[:, 0], side.samples[:, 1])
    np.testing.assert_allclose(side.samples[:, 0], 0.5 * stereo.samples[:, 0], atol=1e-7)


def test_lost_samples_make_the_rest_early() -> None:
    """1000 samples lost before the second tone: it starts 1000/48000 s sooner, and the truth says so."""
    bands = (CutBand(kind="left", seconds=1.0), CutBand(kind="right", seconds=1.0, gap_s=0.5))
    whole = recorded(bands=bands)
    short = recorded(bands=bands, missing=(Missing(at_s=1.0, samples=1000),))
    assert len(whole.samples) - len(short.samples) == 1000
    assert frames(short.spec) == len(short.samples)
    np.testing.assert_array_equal(short.samples[48_000:], whole.samples[49_000:])
    assert whole.truth.bands[1].start_s - short.truth.bands[1].start_s == pytest.approx(1000 / 48_000)


def test_drop_out_and_gain_step() -> None:
    """40 dB down for 50 ms in one channel; 6 dB up from 1.2 s on."""
    drop = DropOut(at_s=1.0, length_s=0.05, depth_db=40.0, channel="left")
    plain = recorded(kind="tone", bits="float").samples
    faulty = recorded(kind="tone", bits="float", drop_outs=(drop,), gain_step_db=6.0, gain_step_at_s=1.2).samples
    during, after = slice(48_100, 50_300), slice(58_000, 70_000)
    assert decibels(faulty[during, 0].std() / plain[during, 0].std()) == pytest.approx(-40.0, abs=1e-3)
    assert decibels(faulty[during, 1].std() / plain[during, 1].std()) == pytest.approx(0.0, abs=1e-6)
    assert decibels(faulty[after].std() / plain[after].std()) == pytest.approx(6.0, abs=1e-3)


def test_automatic_gain_hides_level_differences() -> None:
    """Two tones 20 dB apart come out less than 18 dB apart (trade practice 3.6: then gain control is on)."""
    bands = (
        CutBand(kind="tone", seconds=6.0, velocity_cm_s=5.0),
        CutBand(kind="tone", seconds=6.0, velocity_cm_s=0.5),
    )
    side = recorded(bands=bands, automatic_gain=AutomaticGain(release_s=1.0))
    late = [side.samples[round((b.end_s - 0.5) * 48_000) : round(b.end_s * 48_000), 0].std() for b in side.truth.bands]
    assert decibels(late[0] / late[1]) < 2.0


def test_a_wrong_rate_in_the_file() -> None:
    """44.1 kHz declared as 48 kHz: everything +8.84 % (trade practice 3.2), and the truth's times shrink with it."""
    side = recorded(rate_hz=44_100, declared_rate_hz=48_000)
    assert side.rate_hz == 48_000
    band = side.truth.bands[0]
    assert band.heard_speed_percent == pytest.approx(8.84, abs=0.005)
    assert band.end_s - band.start_s == pytest.approx(44_100 / 48_000, abs=1e-6)
    assert side.truth.mains_in_file_hz == pytest.approx(54.4, abs=0.03)
    assert side.truth.defects == ("wrong_sample_rate",)


def test_lowest_and_highest_rates() -> None:
    """8 kHz and 384 kHz both hold a 1 kHz tone at its level; a tone above half the rate is not there at all."""
    for rate in (8_000, 384_000):
        side = recorded(rate_hz=rate, bits="float")
        band = side.truth.bands[0]
        part = side.samples[round((band.start_s + 0.1) * rate) : round((band.end_s - 0.1) * rate), 0]
        assert decibels(part.astype(float).std() * np.sqrt(2.0)) == pytest.approx(-20.0, abs=0.01)
    side = recorded(rate_hz=8_000, bands=(CutBand(kind="tone", hz=6_000.0, seconds=1.0),))
    assert not np.any(side.samples)
