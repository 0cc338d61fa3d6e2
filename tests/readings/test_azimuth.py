"""Azimuth against the contract's own model written out by hand, published values 13 and trade practice C12."""

from __future__ import annotations

import math

import numpy as np
import pytest
from carrier_scene import bands_of, baseband, concluded, listened, outputs, sound

from spindlewright.readings.azimuth import SET_UPRIGHT, Azimuth
from spindlewright.readings.reading import Reading

KINDS = ("left", "right", "tone")


def views(
    matrix: np.ndarray, kinds: tuple[str, ...] = KINDS, seconds: float = 12.0, **more: float
) -> list[np.ndarray]:
    rng = np.random.default_rng(31)
    return [baseband(matrix, kind, seconds, rng, **more) for kind in kinds]  # type: ignore[arg-type]


def read(
    matrix: np.ndarray, kinds: tuple[str, ...] = KINDS, polarity: str = "known", **more: float
) -> tuple[Reading, Reading]:
    tilt, common = concluded(
        Azimuth(), bands_of(kinds, 12.0), views(matrix, kinds, **more), polarity=polarity
    ).readings
    assert (tilt.quantity, common.quantity) == ("azimuth_error", "symmetric_crosstalk")
    return tilt, common


def test_worked_case_of_the_trade() -> None:
    # Trade practice C12: left-only leaks +0.055 to the right, right-only -0.032 to the left: -2.5 degrees
    # (counter-clockwise seen from the front), common part +0.012.
    tilt, common = read(np.array([[1.0, -0.032], [0.055, 1.0]], complex), noise_db=-75.0)
    assert tilt.value == pytest.approx(-2.5, abs=0.02)
    assert common.value == pytest.approx(20 * math.log10(0.0115), abs=0.05)
    assert common.conditions["in_phase"] == pytest.approx(0.012, abs=0.001)


@pytest.mark.parametrize("tilt_deg", [-5.0, -1.0, 0.0, 0.25, 2.0, 10.0])
@pytest.mark.parametrize(
    ("coils", "balance_db"), [(0.0, 0.0), (0.03, 1.5), (-0.02, -3.0), (0.02j, 2.0), (0.015 - 0.02j, -1.0)]
)
def test_lean_is_told_from_coils_and_gain(tilt_deg: float, coils: complex, balance_db: float) -> None:
    tilt, common = read(outputs(tilt_deg, coils, balance_db))
    assert tilt.value == pytest.approx(tilt_deg, abs=0.02)  # the issue allows 0.1
    assert tilt.uncertainty < 0.03
    if coils:
        size = abs(coils) / math.cos(math.radians(tilt_deg))  # leaks are told against the own outputs
        assert common.value == pytest.approx(20 * math.log10(size), abs=max(0.1, common.uncertainty))
    elif common.conditions["below_noise"] is False:
        assert common.value < -55.0


def test_sign_by_hand_positive_is_clockwise_from_the_front() -> None:
    # L' = c·l + s·r, R' = −s·l + c·r: with a positive roll the right-only band comes out of the left in phase.
    s, c = math.sin(math.radians(2.0)), math.cos(math.radians(2.0))
    rng = np.random.default_rng(32)
    l_only, r_only = (baseband(np.eye(2, dtype=complex), k, 8.0, rng, noise_db=-80.0) for k in ("left", "right"))
    mixed = [np.stack([c * z[:, 0] + s * z[:, 1], -s * z[:, 0] + c * z[:, 1]], axis=1) for z in (l_only, r_only)]
    tilt, _ = concluded(Azimuth(), bands_of(("left", "right"), 8.0), mixed).readings
    assert tilt.value == pytest.approx(2.0, abs=0.02)


@pytest.mark.parametrize("lag_deg", [7.5, -20.0])
def test_delay_between_channels_does_not_turn_a_leak(lag_deg: float) -> None:
    # One sample at 48 kHz is 7.5° at 1 kHz. Taken from the lateral tone; without the correction coils of 0.03 in
    # quadrature would fake 0.03·sin(7.5°) = 0.22°.
    tilt, common = read(outputs(1.0, 0.03j, 1.0, right_lag_deg=lag_deg))
    assert tilt.value == pytest.approx(1.0, abs=0.02)
    assert tilt.conditions["phase_between_channels_deg"] == pytest.approx(-lag_deg, abs=0.5)
    assert common.conditions["quadrature"] == pytest.approx(0.03, abs=0.001)


def test_phase_not_seen_is_in_the_uncertainty() -> None:
    seen, _ = read(outputs(1.0, 0.03j))
    blind, _ = read(outputs(1.0, 0.03j), ("left", "right"), polarity="assumed")
    # 0.03 in quadrature times 3° rectangular: 0.09° half-width, 95 % of it.
    assert blind.uncertainty == pytest.approx(math.degrees(0.03 * math.radians(3.0)) * 0.95, rel=0.1)
    assert seen.uncertainty < 0.3 * blind.uncertainty
    assert blind.conditions["polarity"] == "assumed"
    assert "assumes" in blind.conditions["sign"]


@pytest.mark.parametrize("inverted", [0, 1])
def test_inverted_channel_is_allowed_for_but_advises_no_move(inverted: int) -> None:
    flip = np.diag([-1.0 if inverted == 0 else 1.0, -1.0 if inverted == 1 else 1.0])
    outcome = concluded(Azimuth(), bands_of(KINDS, 12.0), views(flip @ outputs(3.0, 0.01)), polarity="inverted")
    tilt = outcome.readings[0]
    assert tilt.value == pytest.approx(3.0, abs=0.03)
    assert "doubtful" in tilt.conditions["sign"]
    assert "next_move" not in tilt.conditions
    assert outcome.findings == ()


def test_both_channels_inverted_changes_nothing() -> None:
    heard = views(outputs(1.5, 0.01))
    a, b = (concluded(Azimuth(), bands_of(KINDS, 12.0), [sign * v for v in heard]).readings[0] for sign in (1.0, -1.0))
    assert b.value == pytest.approx(a.value, rel=1e-9)


def test_beyond_two_degrees_asks_for_setting_upright_first() -> None:
    for tilt_deg, asked in ((1.9, False), (-2.3, True)):
        outcome = concluded(Azimuth(), bands_of(KINDS, 12.0), views(outputs(tilt_deg)), polarity="known")
        assert bool(outcome.findings) is asked
        assert ("next_move" in outcome.readings[0].conditions) is asked
        if asked:
            assert SET_UPRIGHT in outcome.findings[0].message
    assert SET_UPRIGHT == "set it upright by eye (unipivot: lateral balance), then measure again"


def test_exchanged_recording_reads_the_same_lean_with_a_doubtful_sign() -> None:
    heard = [v[:, ::-1].copy() for v in views(outputs(1.5, 0.01 + 0.02j, 1.0, right_lag_deg=10.0))]
    tilt, _ = concluded(Azimuth(), bands_of(KINDS, 12.0), heard, polarity="swapped").readings
    assert tilt.value == pytest.approx(1.5, abs=0.03)
    assert "doubtful" in tilt.conditions["sign"]


def test_needs_both_single_channel_bands() -> None:
    assert concluded(Azimuth(), bands_of(("left", "tone"), 12.0), views(outputs(1.0), ("left", "tone"))).readings == ()


@pytest.mark.parametrize(("tone_hz", "rate_hz"), [(315.0, 44_100.0), (1000.0, 48_000.0), (1000.0, 192_000.0)])
def test_through_the_listener_with_ticks_and_hum(tone_hz: float, rate_hz: float) -> None:
    rng = np.random.default_rng(33)
    hum = [(50.0 * k, -50.0 - 2.0 * k) for k in range(1, 11)]
    matrix = outputs(-1.2, 0.01 + 0.01j, 0.8)
    heard = [
        sound(matrix, k, 5.0, rng, tone_hz=tone_hz, rate_hz=rate_hz, hum=hum, ticks_per_minute=60.0) for k in KINDS
    ]
    found = listened([Azimuth()], bands_of(KINDS, 5.0, tone_hz), heard, rate_hz=rate_hz, polarity="known")
    (tilt,) = found["azimuth_error"]
    assert tilt.value == pytest.approx(-1.2, abs=1.5 * tilt.uncertainty)
    assert tilt.uncertainty < 0.1
