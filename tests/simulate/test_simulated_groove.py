"""Disc off centre, warped and spiralling under a pivoted arm; bands where the truth says they are."""

from __future__ import annotations

import numpy as np
import pytest
from listening_tools import line_of

from spindlewright.simulate import Spec, render
from spindlewright.simulate.heard_speed import deviation
from spindlewright.simulate.spec import Arm, CutBand, Deck, Disc, Recorder, Take

TURN_HZ = 100.0 / 180.0
ARM = Arm(effective_length_mm=230.0, pivot_to_spindle_mm=211.9467)
STRAIGHT = Arm(tracking="tangential")


def heard(arm: Arm, disc: Disc, radius_mm: float):
    """Ten turns of deviation, in %, and its rate."""
    spec = Spec(
        arm=arm,
        disc=disc,
        take=Take(lifted_before_s=0.5, lead_in_s=0.5),
        bands=(CutBand(kind="tone", seconds=21.0, gap_s=1.0, radius_mm=radius_mm),),
    )
    series = deviation(spec, 2.5, 20.5)
    return series.heard_percent, series.rate_hz


@pytest.mark.parametrize(
    ("eccentricity_mm", "radius_mm", "percent"),
    [(0.05, 60.325, 0.0829), (0.1, 66.0, 0.1515), (0.2, 100.0, 0.2), (0.2, 146.05, 0.1369), (1.0, 120.9, 0.8271)],
)
def test_disc_off_centre_under_a_straight_arm(eccentricity_mm: float, radius_mm: float, percent: float) -> None:
    """Peak e/r: table of published-values 14 (derived)."""
    values, rate = heard(STRAIGHT, Disc(eccentricity_mm=eccentricity_mm, start_radius_mm=radius_mm), radius_mm)
    assert abs(line_of(values, TURN_HZ, rate)) == pytest.approx(percent, abs=6e-5)


@pytest.mark.parametrize(("radius_mm", "excess_percent"), [(60.325, 10.1), (100.0, 8.6), (146.05, 11.1)])
def test_a_pivoted_arm_hears_more(radius_mm: float, excess_percent: float) -> None:
    """e/(r cos phi): 10.1, 8.6 and 11.1 % more for L = 230 (published-values 14, derived)."""
    values, rate = heard(ARM, Disc(eccentricity_mm=0.2, start_radius_mm=radius_mm), radius_mm)
    peak = abs(line_of(values, TURN_HZ, rate))
    assert 100.0 * (peak / (20.0 / radius_mm) - 1.0) == pytest.approx(excess_percent, abs=0.06)
    sine = (radius_mm**2 + 230.0**2 - 211.9467**2) / (2.0 * 230.0 * radius_mm)
    assert peak == pytest.approx(20.0 / radius_mm / np.sqrt(1.0 - sine**2), rel=1e-4)


def test_inner_groove_at_the_limit() -> None:
    """e = 0.2 mm at r = 60.325: 0.3315 % radial, 0.3651 % pivoted; second harmonic below 0.0005 % (14, derived)."""
    disc = Disc(eccentricity_mm=0.2, start_radius_mm=60.325)
    values, rate = heard(STRAIGHT, disc, 60.325)
    assert abs(line_of(values, TURN_HZ, rate)) == pytest.approx(0.3315, abs=6e-5)
    values, rate = heard(ARM, disc, 60.325)
    assert abs(line_of(values, TURN_HZ, rate)) == pytest.approx(0.3651, abs=6e-5)
    assert abs(line_of(values, 2.0 * TURN_HZ, rate)) < 0.0005


@pytest.mark.parametrize(
    ("order", "radius_mm", "percent"),
    [(1, 60.325, 0.0721), (2, 60.325, 0.1441), (1, 146.05, 0.0298), (2, 146.05, 0.0595)],
)
def test_warp_wow(order: int, radius_mm: float, percent: float) -> None:
    """(2 pi f A)(hp/L)/V with A = 0.5, hp = 20, L = 230: published-values 14 (derived)."""
    arm = Arm(effective_length_mm=230.0, pivot_to_spindle_mm=211.9467, pivot_height_mm=20.0)
    disc = Disc(warp_mm=0.5, warp_order=order, start_radius_mm=radius_mm)
    values, rate = heard(arm, disc, radius_mm)
    assert abs(line_of(values, order * TURN_HZ, rate)) == pytest.approx(percent, abs=6e-5)


def test_no_warp_wow_when_the_pivot_lies_in_the_disc_plane() -> None:
    """Published-values 14: zero when the pivot lies in the disc plane."""
    values, _ = heard(ARM, Disc(warp_mm=0.5, start_radius_mm=100.0), 100.0)
    assert np.ptp(values) < 1e-6


def test_the_arc_of_the_arm_under_a_spiral() -> None:
    """Moving inwards along its arc the stylus also moves along the groove: tan(phi) · pitch/(2 pi r) (closed form).

    The stylus goes with the rotation on its way in, so the disc sounds slow by it.
    """
    radius, pitch = 100.0, 0.2
    disc = Disc(start_radius_mm=radius, pitch_mm=pitch)
    spec = Spec(arm=ARM, disc=disc, bands=(CutBand(kind="tone", seconds=10.0),))
    series = deviation(spec, 3.5, 4.5)
    sine = (radius**2 + 230.0**2 - 211.9467**2) / (2.0 * 230.0 * radius)
    share = 100.0 * np.tan(np.arcsin(sine)) * pitch / (2.0 * np.pi * radius)
    assert series.heard_percent.mean() == pytest.approx(-share, rel=0.02)


def test_cutting_error_is_heard_as_it_says() -> None:
    """A disc whose tones are 0.25 % high on a deck 0.5 % fast: (1.0025 · 1.005 − 1)."""
    spec = Spec(
        disc=Disc(tone_error_percent=0.25),
        deck=Deck(speed_error_percent=0.5),
        bands=(CutBand(kind="tone", seconds=8.0),),
    )
    series = deviation(spec, 4.0, 9.0)
    np.testing.assert_allclose(series.heard_percent, 100.0 * (1.0025 * 1.005 - 1.0), atol=1e-7)
    np.testing.assert_allclose(series.deck_percent, 0.5, atol=1e-7)


def test_bands_lie_where_the_truth_says() -> None:
    """Deck 4 % slow: onset and end of the tone to 5 ms, and the band lasts 5 s/0.96."""
    spec = Spec(
        recorder=Recorder(rate_hz=48_000, bits="float", noise_dbfs=None),
        deck=Deck(speed_error_percent=-4.0),
        disc=Disc(eccentricity_mm=0.3),
        bands=(CutBand(kind="tone", seconds=5.0, gap_s=1.5), CutBand(kind="left", hz=315.0, seconds=5.0, gap_s=2.0)),
    )
    side = render(spec)
    for band in side.truth.bands:
        assert band.end_s - band.start_s == pytest.approx(5.0 / 0.96, abs=0.004)
        sounding = np.flatnonzero(np.abs(side.samples[:, 0]) > 0.3 * np.max(np.abs(side.samples[:, 0]))) / side.rate_hz
        inside = sounding[(sounding > band.start_s - 0.5) & (sounding < band.end_s + 0.5)]
        assert inside[0] == pytest.approx(band.start_s, abs=0.005)
        assert inside[-1] == pytest.approx(band.end_s, abs=0.005)
