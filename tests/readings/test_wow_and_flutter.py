"""Flutter figures of phase tracks against closed forms and against scipy-only filters at four times the rate."""

from __future__ import annotations

import math

import numpy as np
import pytest
from phase_scene import by_quantity, exact_flutter, heard, played

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.side import Side
from spindlewright.readings.wow_and_flutter import WowAndFlutter

TURN_HZ = 100.0 / 180.0
ONE_SINE = math.sin(0.95 * math.pi / 2.0)  # two-sigma size of a sine of peak 1: 0.99692 (published values 1.5)


def at(hz: float, peak: float, phase: float = 0.0) -> tuple[float, float, float]:
    """A line at ``hz`` exactly, for a deck at its rated speed."""
    return (hz / TURN_HZ, peak, phase)


def test_four_hertz_reads_its_two_sigma_size_rms_and_peak() -> None:
    readings = by_quantity(heard(WowAndFlutter(), played(13.0, [at(4.0, 1e-3)], speed=0.0)))
    assert readings["wow_flutter_weighted"].value == pytest.approx(0.1 * ONE_SINE, rel=1e-3)
    assert readings["wow_flutter_weighted_rms"].value == pytest.approx(0.1 / math.sqrt(2.0), rel=1e-3)
    assert readings["wow_flutter_weighted_quasi_peak"].value == pytest.approx(0.1, rel=2e-3)
    assert readings["wow_flutter_weighted_quasi_peak"].conditions["maximum_percent"] >= 0.1
    assert readings["wow_flutter_unweighted"].value == pytest.approx(0.1 * ONE_SINE, rel=1e-3)


@pytest.mark.parametrize(
    ("hz", "gain_db"), [(TURN_HZ, -10.05), (0.75, -6.60), (1.1111, -3.46), (5.0, -0.20), (8.0, -1.34), (50.0, -12.24)]
)
def test_single_lines_read_by_the_weighting(hz: float, gain_db: float) -> None:
    """Handy points of the weighting, published values 1.3 (derived there); 0.05 dB and rounding allowed."""
    readings = by_quantity(heard(WowAndFlutter(), played(23.0, [at(hz, 2e-3)], speed=0.0)))
    level_db = 20.0 * math.log10(readings["wow_flutter_weighted"].value / (0.2 * ONE_SINE))
    assert level_db == pytest.approx(gain_db, abs=0.06)


@pytest.mark.parametrize("hz", [50.0, 100.0, 125.0])
def test_lines_locked_to_the_sampling_rate_read_like_others(hz: float) -> None:
    locked, free = (
        by_quantity(heard(WowAndFlutter(), played(12.0, [at(f, 1e-3, 0.4)], speed=0.0))) for f in (hz, hz * 1.00713)
    )
    for quantity in ("wow_flutter_unweighted", "flutter"):
        assert locked[quantity].value == pytest.approx(free[quantity].value, rel=5e-3)


@pytest.mark.parametrize("rate_hz", [1837.5, 2000.0, 2004.5, 2205.0])
def test_any_rate_of_the_view_reads_alike(rate_hz: float) -> None:
    tone = played(16.0, [at(TURN_HZ, 1e-3), at(31.3, 5e-4)], speed=0.0, rate_hz=rate_hz)
    readings = by_quantity(heard(WowAndFlutter(), tone))
    same = by_quantity(heard(WowAndFlutter(), played(16.0, [at(TURN_HZ, 1e-3), at(31.3, 5e-4)], speed=0.0)))
    for quantity, reading in readings.items():
        assert reading.value == pytest.approx(same[quantity].value, rel=3e-3)


def test_mixture_agrees_with_the_exact_filters() -> None:
    lines = [(1.0, 1.2e-3, 0.3), (2.0, 3e-4, 1.0), (0.918, 3e-4, 2.0), (16.0, 4e-4, 0.1), (90.3, 4e-4, 0.5)]
    tone = played(25.0, lines, random_flutter=(2e-4, 0.5, 40.0), speed=0.01, drift_per_s=2e-5)
    truth = exact_flutter(tone)
    readings = by_quantity(heard(WowAndFlutter(), tone))
    for quantity, value in truth.items():
        assert readings[quantity].value == pytest.approx(value, rel=4e-3), quantity


@pytest.mark.parametrize("noise_rad", [0.003, 0.01, 0.03])
def test_noise_is_taken_off(noise_rad: float) -> None:
    tone = played(30.0, [(1.0, 1e-3, 0.3), (9.0, 3e-4, 1.0)], random_flutter=(2e-4, 0.5, 40.0), noise_rad=noise_rad)
    truth = exact_flutter(tone)
    readings = by_quantity(heard(WowAndFlutter(), tone))
    assert readings["wow_flutter_weighted"].value == pytest.approx(truth["wow_flutter_weighted"], rel=0.03, abs=0.0015)
    for quantity in ("wow_flutter_weighted", "wow_flutter_weighted_rms", "wow"):
        assert abs(readings[quantity].value - truth[quantity]) <= 1.5 * readings[quantity].uncertainty + 2e-4
    assert readings["flutter"].conditions["noise_percent"] > 0.0


def test_nothing_but_noise_gives_upper_bounds() -> None:
    for reading in heard(WowAndFlutter(), played(20.0, noise_rad=0.01)).readings:
        if reading.quantity == "wow_flutter_weighted_quasi_peak":
            continue
        assert reading.conditions["below_noise"] or reading.value <= 3.0 * reading.uncertainty
        assert reading.value < reading.conditions["noise_percent"] or reading.quantity == "wow"


def test_ticks_and_swaying_level_move_it_less_than_stated() -> None:
    lines = [(1.0, 1e-3, 0.3), (16.0, 4e-4, 0.1)]
    plain = by_quantity(heard(WowAndFlutter(), played(40.0, lines)))
    troubled = by_quantity(heard(WowAndFlutter(), played(40.0, lines, ticks=40, level_sway=0.05)))
    for quantity, reading in troubled.items():
        assert abs(reading.value - plain[quantity].value) <= reading.uncertainty, quantity


@pytest.mark.parametrize("block", [1, 127, 129, 65_536])
def test_block_size_changes_nothing(block: int) -> None:
    tone = played(11.0, [(1.0, 1e-3, 0.0)], noise_rad=0.01)
    one, other = (by_quantity(heard(WowAndFlutter(), tone, block=size)) for size in (2600, block))
    for quantity, reading in one.items():
        assert other[quantity].value == pytest.approx(reading.value, rel=1e-9)
        assert other[quantity].uncertainty == pytest.approx(reading.uncertainty, rel=1e-9)


def test_long_bands_are_read_more_thinly_but_read_the_same() -> None:
    tone = played(160.0, [at(4.0, 1e-3)], speed=0.0, noise_rad=0.003)
    readings = by_quantity(heard(WowAndFlutter(), tone))
    assert readings["wow_flutter_weighted"].value == pytest.approx(0.1 * ONE_SINE, rel=2e-3)


def test_eight_seconds_give_the_weighted_readings_only() -> None:
    weighted = {"wow_flutter_weighted", "wow_flutter_weighted_quasi_peak", "wow_flutter_weighted_rms"}
    assert set(by_quantity(heard(WowAndFlutter(), played(9.0, [at(4.0, 1e-3)])))) == weighted


def test_main_band_too_short_is_said() -> None:
    band = Band(3, 10.0, 16.5, "tone", Levels(-10.0, -10.0), frequency_hz=3150.0, nominal_hz=3150.0)
    longer = Band(4, 20.0, 60.0, "tone", Levels(-10.0, -10.0), frequency_hz=315.0, nominal_hz=315.0)
    side = Side(96_000.0, (band, longer), main_band=3)
    assert not WowAndFlutter().wants(band, side)
    (item,) = WowAndFlutter().conclude([], side, {}).fitness
    assert item.code == "too_short"
    assert item.bands == (3,)
    assert "6.5 s" in item.message
    assert "8 s" in item.message
    # with no longer tone the naming of bands has said it of the whole side: once is enough
    assert WowAndFlutter().conclude([], Side(96_000.0, (band,), main_band=3), {}).fitness == ()


def test_low_tones_have_no_room_for_flutter() -> None:
    band = Band(0, 0.0, 60.0, "tone", Levels(-10.0, -10.0), frequency_hz=315.0, nominal_hz=315.0)
    assert not WowAndFlutter().wants(band, Side(96_000.0, (band,), main_band=0))


def test_sources_say_what_is_from_memory() -> None:
    for quantity in WowAndFlutter().quantities:
        assert "memory" in quantity.source or "common practice" in quantity.source


def test_spectrum_curve_shows_the_peak_of_a_line() -> None:
    outcome = heard(WowAndFlutter(), played(40.0, [at(30.0, 1e-3)], speed=0.0))
    curve = next(c for c in outcome.curves if c.name == "deviation_spectrum")
    assert curve.x[int(np.argmax(curve.y))] == pytest.approx(30.0, abs=0.1)
    assert np.max(curve.y) == pytest.approx(0.1, rel=0.16)  # a Hann window loses up to 1.42 dB between bins
