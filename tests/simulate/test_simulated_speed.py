"""The platter of the simulated deck: mean, drift, lines and random flutter, heard with scipy alone."""

from __future__ import annotations

import numpy as np
import pytest
from listening_tools import analytic_phase, decibels, line_of, lock_in, stretch
from scipy import interpolate, signal, special

from spindlewright.simulate import Spec, render, truth_of
from spindlewright.simulate.heard_speed import deviation
from spindlewright.simulate.spec import CutBand, Deck, Line, Parts, Phono, RandomFlutter, Recorder, Take

QUIET = Recorder(rate_hz=48_000, bits="float", noise_dbfs=None)
SHORT = Take(lifted_before_s=0.1, lead_in_s=0.1, lead_out_s=0.1, lifted_after_s=0.1)


def tone_side(deck: Deck, seconds: float = 4.0, recorder: Recorder = QUIET, chain: str = "riaa"):
    band = CutBand(kind="tone", hz=3150.0, seconds=seconds)
    return render(Spec(deck=deck, recorder=recorder, take=SHORT, phono=Phono(chain=chain), bands=(band,)))


def test_a_deck_that_is_fast_sounds_high() -> None:
    """Mean speed +0.4 %: the tone is 3150 · 1.004 Hz (definition). The phase's slope is found by a plain fit."""
    side = tone_side(Deck(speed_error_percent=0.4))
    x = stretch(side, side.truth.bands[0])[:, 0]
    phase = analytic_phase(x)[4800:-4800]
    hz = np.polyfit(np.arange(phase.size) / side.rate_hz, phase, 1)[0] / (2.0 * np.pi)
    assert hz == pytest.approx(3150.0 * 1.004, rel=2e-8)
    assert side.truth.bands[0].heard_speed_percent == pytest.approx(0.4, abs=1e-6)


@pytest.mark.parametrize(("rate_hz", "first_db"), [(4.0, -7.38), (50.0, -30.03), (100.0, -36.05)])
def test_sidebands_of_a_flutter_line(rate_hz: float, first_db: float) -> None:
    """First sideband re carrier of a 0.1 % line on 3150 Hz: published-values 1.6 (derived), J1/J0 of the index.
    No replay curve in circuit, because its slope would tilt the sidebands. A velocity pick-up also gives more when the
    groove passes faster; that amplitude modulation raises one sideband as much as it lowers the other, so the mean of
    the two sizes is that of frequency modulation alone.

    The 100 Hz row has the modulation index of the table's 0.05 % at 50 Hz row, so the same −36.05 dB.
    """
    side = tone_side(Deck(lines=(Line(peak_percent=0.1, hz=rate_hz),)), seconds=6.5, chain="flat")
    x = stretch(side, side.truth.bands[0])[: 5 * 48_000, :1]
    carrier = lock_in(x, 3150.0, side.rate_hz)[0]
    pair = [abs(lock_in(x, 3150.0 + offset_hz, side.rate_hz)[0]) for offset_hz in (rate_hz, -rate_hz)]
    sideband = 0.5 * (pair[0] + pair[1])
    index = 3.15 / rate_hz
    assert decibels(special.jv(1, index) / special.jv(0, index)) == pytest.approx(first_db, abs=0.006)
    assert decibels(sideband / abs(carrier)) == pytest.approx(first_db, abs=0.01)


def test_the_truth_over_time_is_what_hilbert_hears() -> None:
    """All speed effects together: the analytic signal's phase is 2 pi 3150 times the truth's groove time."""
    deck = Deck(
        speed_error_percent=-0.7,
        drift_percent_per_min=0.3,
        lines=(Line(peak_percent=0.08, part="platter"), Line(peak_percent=0.05, part="motor", phase_deg=70.0)),
        random_flutter=RandomFlutter(rms_percent=0.03, low_hz=0.5, high_hz=40.0),
    )
    side = tone_side(deck, seconds=8.0, chain="flat")
    band = side.truth.bands[0]
    phase = analytic_phase(stretch(side, band)[:, 1])
    first = round((band.start_s + 0.5) * side.rate_hz)
    truth = side.truth.deviation(band.start_s, band.end_s)
    groove_time = interpolate.CubicSpline(truth.times_s, truth.groove_time_s)
    wanted = 2.0 * np.pi * 3150.0 * groove_time((first + np.arange(phase.size)) / side.rate_hz)
    difference = (phase - wanted)[4800:-4800]
    assert np.std(difference) < 2e-5
    # the series is the rate of that phase, and there is something in it
    slope = np.gradient(truth.groove_time_s) * truth.rate_hz - 1.0
    np.testing.assert_allclose(truth.heard_percent[2:-2], 100.0 * slope[2:-2], atol=5e-4)
    assert np.std(truth.heard_percent) > 0.05


def test_drift_is_steady() -> None:
    """0.6 %/min over 12 s: the second difference of the heard phase."""
    side = tone_side(Deck(drift_percent_per_min=0.6), seconds=12.0)
    band = side.truth.bands[0]
    x = stretch(side, band)[:, 0]
    phase = analytic_phase(x)[4800:-4800]
    t = np.arange(phase.size) / side.rate_hz
    quadratic = np.polyfit(t - t.mean(), phase, 2)[0]
    assert 2.0 * quadratic / (2.0 * np.pi * 3150.0) * 6000.0 == pytest.approx(0.6, abs=1e-4)
    assert band.heard_drift_percent_per_min == pytest.approx(0.6, abs=1e-6)


def test_a_part_line_follows_its_part() -> None:
    """Motor turns per platter turn from published-values 17 (12/167 mm, belt 0.6): 1/0.0751790."""
    parts = Parts(pulley_mm=12.0, hub_mm=167.0, belt_thickness_mm=0.6)
    assert parts.turns_per_platter_turn("motor") == pytest.approx(1.0 / 0.0751790, rel=1e-6)
    deck = Deck(speed_error_percent=2.0, parts=parts, lines=(Line(peak_percent=0.2, part="motor", phase_deg=30.0),))
    spec = Spec(deck=deck, take=SHORT, bands=(CutBand(kind="tone", seconds=10.0),))
    rate = 100.0 / 180.0 * 1.02 / 0.0751790
    assert truth_of(spec).lines[0].rate_hz == pytest.approx(rate, rel=1e-6)
    series = deviation(spec, 1.0, 9.0)
    # the peak is stated in % of the deck's own mean speed, which is 1.02 of the rated one
    assert abs(line_of(series.heard_percent, rate, series.rate_hz)) == pytest.approx(0.2 * 1.02, rel=1e-4)


def test_an_idler_turns_as_its_diameters_say() -> None:
    """Trade practice 4.2: rim 270, idler 60 gives 2.50 Hz at 33⅓."""
    parts = Parts(drive="idler", rim_mm=270.0, idler_mm=60.0)
    assert parts.turns_per_platter_turn("idler") * 100.0 / 180.0 == pytest.approx(2.5)


def test_random_flutter_has_its_level_and_band() -> None:
    """rms as stated (± 4 standard errors of band-limited noise), and little of it an octave outside the band."""
    deck = Deck(random_flutter=RandomFlutter(rms_percent=0.05, low_hz=2.0, high_hz=20.0))
    spec = Spec(deck=deck, take=SHORT, bands=(CutBand(kind="tone", seconds=60.0),))
    series = deviation(spec, 1.0, 59.0)
    assert np.std(series.heard_percent) == pytest.approx(0.05, rel=4.0 / np.sqrt(2.0 * 20.0 * 58.0))
    f, density = signal.welch(series.heard_percent, series.rate_hz, nperseg=1 << 14)
    inside = density[(f > 4.0) & (f < 15.0)].mean()
    assert density[(f > 38.0) & (f < 42.0)].mean() / inside == pytest.approx(1.0 / 17.0, rel=0.4)


def test_series_from_the_middle_is_the_same_series() -> None:
    """The random part does not depend on where one starts to look."""
    spec = Spec(
        deck=Deck(random_flutter=RandomFlutter(rms_percent=0.1)),
        take=SHORT,
        bands=(CutBand(kind="tone", seconds=40.0),),
    )
    whole, late = deviation(spec, 1.0, 39.0), deviation(spec, 30.0, 39.0)
    shift = round((late.start_s - whole.start_s) * whole.rate_hz)
    np.testing.assert_allclose(whole.heard_percent[shift : shift + 40_000], late.heard_percent[:40_000], atol=1e-9)


def test_a_fast_clock_makes_everything_low() -> None:
    """A converter 100 ppm fast writes 3150 Hz as 3150/1.0001."""
    side = tone_side(Deck(), recorder=Recorder(rate_hz=48_000, bits="float", noise_dbfs=None, clock_error_ppm=100.0))
    assert side.truth.bands[0].heard_speed_percent == pytest.approx(100.0 / 1.0001 - 100.0, abs=1e-7)
    x = stretch(side, side.truth.bands[0])[:, 0]
    phase = analytic_phase(x)[4800:-4800]
    hz = np.polyfit(np.arange(phase.size) / side.rate_hz, phase, 1)[0] / (2.0 * np.pi)
    assert hz == pytest.approx(3150.0 / 1.0001, rel=2e-8)


def test_a_disc_for_33_played_at_45() -> None:
    """Trade practice 3.2: a 3150 Hz band cut for 33⅓ but run at 45 gives 4252.5 Hz."""
    side = tone_side(Deck(selected_rpm=45.0), seconds=12.0)
    found = np.fft.rfft(stretch(side, side.truth.bands[0])[:, 0] * np.hanning(len(stretch(side, side.truth.bands[0]))))
    seconds = len(stretch(side, side.truth.bands[0])) / side.rate_hz
    assert np.argmax(np.abs(found)) / seconds == pytest.approx(4252.5, abs=0.2)
    assert side.truth.defects == ("wrong_speed",)


@pytest.mark.parametrize("seconds", [8.0, 25.0])
def test_the_true_once_per_turn_figure_is_the_platter_s_alone(seconds: float) -> None:
    """A belt line near the platter's rate must not leak in: the figure is the peak put in (definition)."""
    lines = (
        Line(peak_percent=0.05, part="platter", phase_deg=40.0),
        Line(peak_percent=0.08, part="belt", phase_deg=200.0),
        Line(peak_percent=0.03, hz=1.9, phase_deg=10.0),
    )
    spec = Spec(deck=Deck(lines=lines), recorder=QUIET, take=SHORT, bands=(CutBand(kind="tone", seconds=seconds),))
    assert truth_of(spec).bands[0].once_per_revolution_percent == pytest.approx(0.05, rel=2e-3)
