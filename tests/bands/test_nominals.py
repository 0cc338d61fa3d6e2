"""Nominals of a whole side. Witness: the frequencies put in; wrong speeds after trade-practice 3.2."""

from __future__ import annotations

import pytest

from spindlewright.bands.nominals import PRIOR, THIRDS, choose_nominals

SETS = [
    [3150, 1000],
    [3000, 1000],
    [3150, 315, 1000],
    [3000, 300, 1000, 10000],
    [1000, 100, 10000],
    [315, 1000, 6300],
    [3150, 400],
    [1000, 300],
    [1000, 10800],
]
DECADES = [1000, 100, 10000]
"""Decades of one tone: at 5/6 they are as good as 800, 80 and 8000 Hz played 4 % fast."""


@pytest.mark.parametrize("cut", SETS)
@pytest.mark.parametrize("speed", [-0.06, -0.045, -0.02, -0.003, 0.0, 0.004, 0.019, 0.044, 0.059])
def test_two_tones_tell_their_nominals_within_six_percent(cut: list[float], speed: float) -> None:
    chosen = choose_nominals([hz * (1 + speed) for hz in cut], [20.0] * len(cut))
    assert list(chosen.nominal_hz) == cut
    assert chosen.speed_ratio == pytest.approx(1 + speed, rel=1e-9)
    assert chosen.turned.ratio == 1.0
    assert chosen.doubt is None


def test_a_small_spread_between_bands_is_allowed_and_a_large_one_not() -> None:
    assert choose_nominals([3150 * 1.001, 1000 * 0.9995], [20, 20]).nominal_hz == (3150, 1000)
    assert None in choose_nominals([3150 * 1.02, 1000 * 0.99], [20, 20]).nominal_hz


@pytest.mark.parametrize(("found", "nominal"), [(3140.0, 3150), (3060.0, 3000), (3085.0, 3150), (2990.0, 3000)])
def test_a_lone_speed_tone_takes_the_nearer_and_is_in_doubt(found: float, nominal: float) -> None:
    chosen = choose_nominals([found, found * 1.0003], [30.0, 20.0])
    assert chosen.nominal_hz == (nominal, nominal)
    assert chosen.doubt == (3000.0, 3150.0)


def test_a_lone_1_khz_tone_is_in_no_doubt() -> None:
    chosen = choose_nominals([1012.0], [30.0])
    assert chosen.nominal_hz == (1000.0,)
    assert chosen.doubt is None


def test_a_33_disc_at_45_reads_4252_5_hz() -> None:
    chosen = choose_nominals([4252.5, 1350.0], [30.0, 10.0])
    assert chosen.nominal_hz == (3150.0, 1000.0)
    assert (chosen.turned.cut_rpm, chosen.turned.played_rpm) == (pytest.approx(100 / 3), 45.0)
    assert choose_nominals([4252.5], [30.0]).nominal_hz == (3150.0,)


def test_a_45_disc_at_33_reads_2333_3_hz() -> None:
    chosen = choose_nominals([2333.33], [30.0])
    assert chosen.nominal_hz == (3150.0,)
    assert (chosen.turned.cut_rpm, chosen.turned.played_rpm) == (45.0, pytest.approx(100 / 3))
    stated = choose_nominals([2333.33, 740.74], [30.0, 10.0], rpm=45.0)
    assert stated.nominal_hz == (3150.0, 1000.0)
    assert (stated.turned.cut_rpm, stated.turned.played_rpm) == (45.0, pytest.approx(100 / 3))


@pytest.mark.parametrize(("share", "made_for", "mains"), [(5 / 6, 60.0, 50.0), (6 / 5, 50.0, 60.0)])
@pytest.mark.parametrize("rpm", [100 / 3, 45.0])
@pytest.mark.parametrize("cut", [cut for cut in SETS if cut != DECADES])
@pytest.mark.parametrize("besides", [-0.004, 0.0, 0.006])
def test_the_pulley_of_the_other_mains(
    share: float, made_for: float, mains: float, rpm: float, cut: list[float], besides: float
) -> None:
    """Witness: 27.78 and 37.50 rpm with a 60 Hz pulley on 50 Hz mains, 40 and 54 rpm the other way round."""
    chosen = choose_nominals([hz * share * (1 + besides) for hz in cut], [20.0] * len(cut), rpm)
    assert list(chosen.nominal_hz) == cut
    assert (chosen.turned.pulley_for_hz, chosen.turned.mains_hz) == (made_for, mains)
    published_rpm = {60.0: (27.78, 37.50), 50.0: (40.0, 54.0)}[made_for][rpm == 45.0]
    assert chosen.turned.played_rpm == pytest.approx(published_rpm, abs=3e-3)
    assert chosen.speed_ratio == pytest.approx(share * (1 + besides), rel=1e-9)


def test_a_lone_speed_tone_of_2625_hz_is_the_wrong_pulley() -> None:
    """Witness: a 3150 Hz band reads 2625 Hz (trade practice)."""
    chosen = choose_nominals([2625.0], [30.0])
    assert chosen.nominal_hz == (3150.0,)
    assert chosen.turned.played_rpm == pytest.approx(27.78, abs=3e-3)


def test_a_tone_of_no_usual_frequency_has_no_nominal() -> None:
    assert choose_nominals([1000.0, 3150.0, 1111.0], [10, 10, 10]).nominal_hz == (1000.0, 3150.0, None)


def test_no_tones_no_nominals() -> None:
    assert choose_nominals([], []).nominal_hz == ()


def test_the_thirds_are_the_preferred_numbers() -> None:
    """Witness: ISO 266 one-third-octave frequencies, 20 Hz to 20 kHz (from memory)."""
    decade = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8]
    expected = [round(m * p, 2) for p in (10, 100, 1000, 10000) for m in decade if 20 <= m * p <= 20000]
    assert sorted(THIRDS) == expected
    assert set(THIRDS) <= set(PRIOR)
