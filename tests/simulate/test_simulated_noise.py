"""Rumble, groove noise, hum, ticks and run-out of the simulated deck, measured with plain scipy filters."""

from __future__ import annotations

import numpy as np
import pytest
from listening_tools import decibels, lock_in, stretch
from scipy import signal

from spindlewright.simulate import Spec, render, truth_of
from spindlewright.simulate.spec import (
    Arm,
    Cartridge,
    CutBand,
    Deck,
    Disc,
    Hum,
    HumLine,
    Phono,
    Recorder,
    Rumble,
    Take,
    VibrationLine,
)

QUIET = Recorder(rate_hz=48_000, bits="float", noise_dbfs=None)
SHORT = Take(lifted_before_s=0.1, lead_in_s=0.1, lead_out_s=0.1, lifted_after_s=0.1)
FULL_10_CM = 10.0 ** (-20.0 / 20.0) * 2.0
"""Peak in full scale of 10 cm/s per wall at 1 kHz: twice the 5 cm/s of the default level."""


def silent(seconds: float, **more):
    more.setdefault("recorder", QUIET)
    return render(Spec(take=SHORT, bands=(CutBand(kind="silence", seconds=seconds),), **more))


def unweighted_db(x: np.ndarray, rate_hz: float) -> float:
    """Level re 10 cm/s by the contract's definition: Butterworth 10 Hz order 2 and 500 Hz order 4 (scipy's)."""
    for sections in (
        signal.butter(2, 10.0, "highpass", fs=rate_hz, output="sos"),
        signal.butter(4, 500.0, fs=rate_hz, output="sos"),
    ):
        x = signal.sosfilt(sections, x)
    return float(decibels(np.std(x[int(rate_hz) :]) * np.sqrt(2.0) / FULL_10_CM))


def weighted_db(x: np.ndarray, rate_hz: float) -> float:
    """The same with [s w0/(s² + s w0 + w0²)]²."""
    w0 = 2.0 * np.pi * 315.0
    b, a = signal.bilinear([w0, 0.0], [1.0, w0, w0**2], fs=rate_hz)
    for _ in range(2):
        x = signal.lfilter(b, a, x)
    return float(decibels(np.std(x[int(rate_hz) :]) * np.sqrt(2.0) / FULL_10_CM))


def test_rumble_has_its_level() -> None:
    """Lateral −40 dB, vertical −34 dB as knobs, 4 standard errors (noise of some 20 Hz for 40 s: 0.6 dB)."""
    side = silent(40.0, deck=Deck(rumble=Rumble(lateral_db=-40.0, vertical_db=-34.0)))
    x = stretch(side, side.truth.bands[0])
    lateral, vertical = (x[:, 0] + x[:, 1]) / np.sqrt(2.0), (x[:, 0] - x[:, 1]) / np.sqrt(2.0)
    assert unweighted_db(lateral, side.rate_hz) == pytest.approx(-40.0, abs=0.6)
    assert unweighted_db(vertical, side.rate_hz) == pytest.approx(-34.0, abs=0.6)
    levels = side.truth.noise.rumble_unweighted
    assert levels["lateral"].rumble == pytest.approx(-40.0, abs=0.01)
    assert levels["vertical"].rumble == pytest.approx(-34.0, abs=0.01)
    # each channel carries half the power of both directions
    both = 10.0 * np.log10(0.5 * 10.0**-4.0 + 0.5 * 10.0**-3.4)
    assert levels["left"].rumble == pytest.approx(both, abs=0.01)


def test_rumble_truth_of_a_deck_with_everything() -> None:
    """Roll, gains, arm resonance, lines, groove noise and hum: truth against the filters of the contract."""
    spec = {
        "deck": Deck(
            rumble=Rumble(
                lateral_db=-48.0,
                vertical_db=-45.0,
                lines=(VibrationLine(direction="vertical", level_db=-42.0, hz=100.0),),
            )
        ),
        "arm": Arm(lateral_resonance_hz=9.0, vertical_resonance_hz=11.0),
        "cartridge": Cartridge(azimuth_deg=4.0, crosstalk_db=-25.0, balance_db=3.0),
        "disc": Disc(surface_noise_db=-50.0),
        "hum": Hum(lines=(HumLine(order=1, left_dbfs=-60.0), HumLine(order=3, right_dbfs=-62.0))),
    }
    side = silent(40.0, **spec)
    x = stretch(side, side.truth.bands[0])
    own = 10.0 ** (1.5 / 20.0)
    x = x / np.array([own, 1.0 / own])
    views = {
        "left": x[:, 0],
        "right": x[:, 1],
        "lateral": (x[:, 0] + x[:, 1]) / np.sqrt(2.0),
        "vertical": (x[:, 0] - x[:, 1]) / np.sqrt(2.0),
    }
    noise = side.truth.noise
    for name, view in views.items():
        assert unweighted_db(view, side.rate_hz) == pytest.approx(noise.rumble_unweighted[name].everything, abs=0.5)
        assert weighted_db(view, side.rate_hz) == pytest.approx(noise.rumble_weighted[name].everything, abs=0.3)


def test_a_vibration_line_has_its_level_without_replay_curve_too() -> None:
    """−30 dB re 10 cm/s after RIAA at 100 Hz; a flat chain shows it 13.088 dB lower (published-values 4)."""
    line = VibrationLine(direction="lateral", level_db=-30.0, hz=100.0)
    for chain, lower in (("riaa", 0.0), ("flat", 13.088)):
        side = silent(2.0, deck=Deck(rumble=Rumble(lines=(line,))), phono=Phono(chain=chain))
        x = stretch(side, side.truth.bands[0])
        peak = abs(lock_in((x[:, :1] + x[:, 1:]) / np.sqrt(2.0), 100.0, side.rate_hz)[0])
        assert decibels(peak / FULL_10_CM) == pytest.approx(-30.0 - lower, abs=0.01)


@pytest.mark.parametrize("shape", ["groove", "flat"])
def test_groove_noise_has_its_level(shape: str) -> None:
    """A-weighted by the formula of IEC 61672-1 written out here, over a plain FFT of 10 s; walls unrelated."""
    side = silent(10.0, disc=Disc(surface_noise_db=-55.0, surface_noise_shape=shape))
    x = stretch(side, side.truth.bands[0])
    f = np.fft.rfftfreq(len(x), 1.0 / side.rate_hz)[1:]
    f2 = f * f
    a = 12194.217**2 * f2**2 / (f2 + 20.598997**2) / np.sqrt((f2 + 107.65265**2) * (f2 + 737.86223**2))
    a = a / (f2 + 12194.217**2) * 10.0 ** (2.0 / 20.0)  # 2.00 dB brings 1 kHz to 0 dB
    power = 2.0 * np.sum((np.abs(np.fft.rfft(x, axis=0)[1:]) * a[:, None]) ** 2, axis=0) / len(x) ** 2
    reference = 10.0 ** (-20.0 / 20.0) / np.sqrt(2.0)
    np.testing.assert_allclose(10.0 * np.log10(power) - decibels(reference), -55.0, atol=0.15)
    assert abs(np.corrcoef(x.T)[0, 1]) < 0.02
    assert side.truth.noise.surface_noise_left_db == pytest.approx(-55.0, abs=1e-6)


def test_hum_lines_in_the_file() -> None:
    """Levels and phases per channel by a Fourier sum; frequency as a clock 2000 ppm fast shows it."""
    hum = Hum(
        mains_hz=60.0,
        lines=(
            HumLine(order=1, left_dbfs=-50.0, right_dbfs=-47.0, left_phase_deg=20.0, right_phase_deg=-70.0),
            HumLine(order=3, right_dbfs=-66.0),
        ),
    )
    recorder = Recorder(rate_hz=48_000, bits="float", noise_dbfs=None, clock_error_ppm=2000.0)
    side = render(Spec(hum=hum, take=Take(lifted_before_s=2.0, lifted_after_s=2.0), recorder=recorder))
    one, three = (lock_in(side.samples.astype(float), k * 60.0 / 1.002, side.rate_hz) for k in (1, 3))
    np.testing.assert_allclose(decibels(one), [-50.0, -47.0], atol=1e-3)
    np.testing.assert_allclose(np.angle(one, deg=True), [20.0, -70.0], atol=0.01)
    assert decibels(three[1]) == pytest.approx(-66.0, abs=1e-3)
    assert decibels(three[0]) < -120.0
    assert side.truth.hum[1].frequency_hz == pytest.approx(180.0 / 1.002)


def test_ticks_are_where_the_truth_says() -> None:
    """As many as asked for, none nearer than said, each with its peak in the louder channel."""
    side = silent(20.0, disc=Disc(ticks_per_minute=60.0, tick_peak_db=-10.0, ticks_apart_s=0.05))
    truth = side.truth
    assert len(truth.tick_times_s) == 20
    assert np.min(np.diff(truth.tick_times_s)) >= 0.049
    loud = np.max(np.abs(side.samples), axis=1)
    for time_s in truth.tick_times_s:
        near = loud[round((time_s - 0.001) * 48_000) : round((time_s + 0.001) * 48_000)]
        assert decibels(near.max() / 10.0 ** (-20.0 / 20.0)) == pytest.approx(-10.0, abs=0.7)
    peaks, _ = signal.find_peaks(loud, height=0.5 * 0.1 * 10.0 ** (-10.0 / 20.0), distance=480)
    np.testing.assert_allclose(peaks / 48_000, truth.tick_times_s, atol=1.5e-4)


def test_the_run_out_groove_repeats_turn_by_turn() -> None:
    """Deck 4 % slow: noise and scratches come again after 1.8 s/0.96, and not after half of it."""
    cut = CutBand(kind="run_out", seconds=9.0, gap_s=0.5, radius_mm=53.0, scratches_per_turn=2)
    spec = Spec(
        take=SHORT,
        recorder=Recorder(rate_hz=24_000, bits="float", noise_dbfs=None),
        deck=Deck(speed_error_percent=-4.0),
        disc=Disc(surface_noise_db=-50.0, surface_noise_shape="flat"),
        bands=(cut,),
    )
    side = render(spec)
    x = stretch(side, side.truth.bands[0])[:, 0]
    turn = round(1.8 / 0.96 * 24_000)
    sound = np.clip(x, -0.002, 0.002)
    same = np.corrcoef(sound[: 2 * turn], sound[turn : 3 * turn])[0, 1]
    other = np.corrcoef(sound[: 2 * turn], sound[turn // 2 : turn // 2 + 2 * turn])[0, 1]
    assert same > 0.9
    assert abs(other) < 0.1
    scratches = np.array(side.truth.scratch_times_s)
    assert scratches.size == 10
    np.testing.assert_allclose(scratches[2:] - scratches[:-2], 1.8 / 0.96, atol=1e-6)


def test_warp_is_heard_as_vertical_motion() -> None:
    """0.5 mm twice a turn: 2 pi f A = 0.349 cm/s peak, up and down only (closed form), in a flat chain."""
    side = silent(9.0, disc=Disc(warp_mm=0.5, warp_order=2), phono=Phono(chain="flat"))
    x = stretch(side, side.truth.bands[0], 0.0)[: round(7.2 * 48_000)]
    vertical = abs(lock_in((x[:, :1] - x[:, 1:]) / np.sqrt(2.0), 10.0 / 9.0, 48_000)[0])
    assert vertical / (0.1 / 5.0) == pytest.approx(2.0 * np.pi * (10.0 / 9.0) * 0.05, rel=0.002)
    assert np.max(np.abs(x[:, 0] + x[:, 1])) < 1e-6


def test_nothing_is_there_when_nothing_is_put_in() -> None:
    """An ideal deck in a silent groove: digital silence, and a truth that says so."""
    side = silent(1.0)
    assert not np.any(side.samples)
    truth = truth_of(side.spec)
    assert truth.noise.rumble_unweighted["left"].everything is None
    assert truth.noise.surface_noise_left_db is None
    assert truth.tick_times_s == ()
