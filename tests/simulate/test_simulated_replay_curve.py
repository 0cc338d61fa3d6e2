"""Recording and replay curve, arm resonance and subsonic filter, in rendered tones."""

from __future__ import annotations

import numpy as np
import pytest
from listening_tools import decibels, lock_in, stretch

from spindlewright.simulate import Spec, render
from spindlewright.simulate.spec import Arm, Cartridge, CutBand, Electrical, Phono, Recorder, Take

SHORT = Take(lifted_before_s=0.1, lead_in_s=0.1, lead_out_s=0.1, lifted_after_s=0.1)
TABLE_DB = {
    100.0: 13.088,
    315.0: 5.179,
    1000.0: 0.0,
    3150.0: -5.038,
    10000.0: -13.734,
    16000.0: -17.708,
    20000.0: -19.620,
}
"""RIAA replay gains: published-values 4 (time constants confirmed, table derived)."""


def level_db(frequencies: list[float], rate_hz: int = 96_000, arm: Arm | None = None, seconds: float = 0.6, **more):
    """Left level of tones of 5 cm/s lateral re 3.01 dB below the reference, one after the other."""
    phono = Phono(chain=more.pop("chain", "riaa"), subsonic_hz=more.pop("subsonic_hz", None))
    cuts = tuple(CutBand(kind="tone", hz=f, seconds=seconds, gap_s=0.1, **more) for f in frequencies)
    recorder = Recorder(rate_hz=rate_hz, bits="float", noise_dbfs=None)
    side = render(Spec(bands=cuts, recorder=recorder, take=SHORT, phono=phono, arm=arm or Arm()))
    out = []
    for band in side.truth.bands:
        a, b = round((band.start_s + 0.4 * seconds) * rate_hz), round((band.end_s - 0.02) * rate_hz)
        out.append(decibels(lock_in(side.samples[a:b, :1].astype(float), band.nominal_hz, rate_hz))[0])
    return np.array(out) + 20.0 + 3.0103


@pytest.mark.parametrize("rate_hz", [44_100, 96_000, 192_000])
def test_flat_cut_tones_come_out_by_the_replay_curve(rate_hz: int) -> None:
    """Constant velocity, RIAA replay: the table itself, to 0.01 dB up to 16 kHz (0.03 at 20 kHz) at any rate."""
    levels = level_db(list(TABLE_DB), rate_hz, equalisation="flat")
    np.testing.assert_allclose(levels[:-1], list(TABLE_DB.values())[:-1], atol=0.01)
    assert levels[-1] == pytest.approx(TABLE_DB[20000.0], abs=0.03)


def test_riaa_cut_tones_come_out_level() -> None:
    """Recording curve and replay curve cancel."""
    np.testing.assert_allclose(level_db(list(TABLE_DB)), 0.0, atol=0.01)


def test_riaa_cut_tones_without_replay_curve() -> None:
    """A flat chain shows the recording curve: the table's negative."""
    levels = level_db(list(TABLE_DB), chain="flat")
    np.testing.assert_allclose(levels, [-v for v in TABLE_DB.values()], atol=0.001)


def test_the_amendment_takes_the_lowest_away() -> None:
    """With 7950 µs in circuit (20.02 Hz): 16.260 dB at 20 Hz, 16.300 at 50 Hz (published-values 4, derived)."""
    levels = level_db([20.0, 50.0], 48_000, seconds=2.0, equalisation="flat", subsonic_hz=20.02)
    np.testing.assert_allclose(levels, [16.260, 16.300], atol=0.01)


def test_arm_resonance() -> None:
    """Relative over groove motion |s²/(s² + w0 s/Q + w0²)|: Q at f0, (f/f0)² well below, 1 well above (9, derived)."""
    arm = Arm(lateral_resonance_hz=10.0, lateral_q=3.0, vertical_resonance_hz=14.0)
    levels = level_db([2.5, 10.0, 100.0], 8_000, arm, seconds=6.0, chain="flat", equalisation="flat")
    ratio = 2.5 / 10.0
    below = ratio**2 / np.hypot(1.0 - ratio**2, ratio / 3.0)
    np.testing.assert_allclose(levels[:2], decibels([below, 3.0]), atol=0.02)
    assert levels[2] == pytest.approx(0.0, abs=0.1)


def test_a_sweep_is_level_and_logarithmic() -> None:
    """200 Hz to 8 kHz in 4 s: even level after replay, and each octave takes the same time."""
    cut = CutBand(kind="sweep", hz=200.0, to_hz=8000.0, seconds=4.0)
    recorder = Recorder(rate_hz=48_000, bits="float", noise_dbfs=None)
    side = render(Spec(bands=(cut,), recorder=recorder, take=SHORT))
    band = side.truth.bands[0]
    x = side.samples[round(band.start_s * 48_000) : round(band.end_s * 48_000), 0].astype(float)
    for share in (0.2, 0.5, 0.8):
        centre = round(share * x.size)
        part = x[centre - 1200 : centre + 1200]
        expected = 200.0 * 40.0**share
        spectrum = np.abs(np.fft.rfft(part * np.hanning(part.size), 1 << 16))
        assert np.argmax(spectrum) * 48_000 / (1 << 16) == pytest.approx(expected, rel=0.02)
        assert decibels(np.std(part) * np.sqrt(2.0)) == pytest.approx(-23.0103, abs=0.1)


@pytest.mark.parametrize("rate_hz", [32_000, 44_100, 96_000])
@pytest.mark.parametrize("hz", [5000.0, 10_000.0])
def test_the_truth_of_a_high_tone_is_its_level_in_the_samples(rate_hz: int, hz: float) -> None:
    """RIAA cut and replay cancel: 5 cm/s along the wall is -20 dBFS at any frequency and rate (definition), without
    coil and load; with them the truth must still say what a lock-in finds in the samples."""
    recorder = Recorder(rate_hz=rate_hz, bits="float", noise_dbfs=None)
    for electrical in (None, Electrical()):
        spec = Spec(
            bands=(CutBand(kind="left", hz=hz, seconds=1.0),),
            recorder=recorder,
            take=SHORT,
            cartridge=Cartridge(electrical=electrical),
        )
        side = render(spec)
        band = side.truth.bands[0]
        rendered = decibels(lock_in(stretch(side, band, 0.1)[:, :1], hz, side.rate_hz))[0]
        assert band.left_dbfs == pytest.approx(rendered, abs=0.02)
        if electrical is None:
            assert band.left_dbfs == pytest.approx(-20.0, abs=1e-6)
