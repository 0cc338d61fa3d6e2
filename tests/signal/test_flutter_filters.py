"""Realised flutter filters against their analogue definitions, measured with sines put through them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from spindlewright.signal.flutter_filters import FlutterFilters, HalvingDifferentiator, butterworth, unweighted

TURN = 2.0 * math.pi


def weighting(hz: float) -> float:
    """|H| of published values 1.3, typed here."""
    s = 2j * math.pi * hz
    w0, q = TURN * 0.445282, 0.617585
    top = 87.356616 * s**3 * (s + TURN * 31.9728)
    bottom = (s * s + s * w0 / q + w0 * w0) * (s + TURN * 1.428527) * (s + TURN * 8.660898) * (s + TURN * 43.868946)
    return abs(top / bottom)


def band(hz: float) -> float:
    """Second-order Butterworth 0.2 to 200 Hz, textbook form."""
    return 1.0 / math.sqrt(1.0 + (0.2 / hz) ** 4) / math.sqrt(1.0 + (hz / 200.0) ** 4)


def gains(hz: float, rate_hz: float = 2000.0) -> np.ndarray:
    """Gain of the four outputs for a deviation line of 1 rad/s at ``hz``."""
    filters = FlutterFilters(rate_hz, 6.0)
    seconds = max(30.0, 14.0 / hz)
    t = np.arange(int(seconds * rate_hz) & ~1) / rate_hz
    signal, _ = filters.feed(np.sin(TURN * hz * t) / (TURN * hz), None)
    rest = signal[:, signal.shape[1] // 2 :]
    u = np.arange(rest.shape[1]) / filters.rate_hz
    pair = np.stack([np.cos(TURN * hz * u), np.sin(TURN * hz * u)], axis=1)
    return np.hypot(*np.linalg.lstsq(pair, rest.T, rcond=None)[0])


@pytest.mark.parametrize("rate_hz", [1750.0, 1837.5, 2000.0, 2004.545, 2297.0])
@pytest.mark.parametrize("hz", [0.2, 0.5556, 4.0, 31.0, 120.0, 200.0])
def test_weighted_and_unweighted_keep_to_the_definition(hz: float, rate_hz: float) -> None:
    made = gains(hz, rate_hz)
    assert 20 * math.log10(made[0] / weighting(hz)) == pytest.approx(0.0, abs=0.05)
    assert 20 * math.log10(made[1] / band(hz)) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("hz", [1.0, 4.0, 6.0, 9.0, 40.0])
def test_the_split_is_a_fourth_order_pair(hz: float) -> None:
    made = gains(hz)
    low, high = 1.0 / math.sqrt(1.0 + (hz / 6.0) ** 8), 1.0 / math.sqrt(1.0 + (6.0 / hz) ** 8)
    assert made[2] == pytest.approx(band(hz) * low, rel=0.01, abs=1e-4)
    assert made[3] == pytest.approx(band(hz) * high, rel=0.01, abs=1e-4)


def test_departures_from_the_definition_are_as_small_as_the_budgets_say() -> None:
    """Root mean square over lines from 0.3 to 60 Hz in octaves: the line "filter" in the budgets of flutter."""
    departures = []
    for hz in (0.3, 0.5556, 1.0, 2.0, 4.0, 8.0, 16.0, 31.0, 60.0):
        for rate_hz in (1750.0, 2000.0, 2297.0):
            made = gains(hz, rate_hz)
            high = 1.0 / math.sqrt(1.0 + (6.0 / hz) ** 8)
            departures.append((made[0] / weighting(hz) - 1.0, made[1] / band(hz) - 1.0))
            if hz > 6.0:
                departures[-1] = (*departures[-1], made[3] / (band(hz) * high) - 1.0)  # type: ignore[assignment]
    weighted, wide, flutter = (
        math.sqrt(float(np.mean([row[k] ** 2 for row in departures if len(row) > k]))) for k in range(3)
    )
    assert weighted < 2.2e-4, (weighted, wide, flutter)
    assert wide < 1.2e-4
    assert flutter < 2.2e-4


def test_what_lies_above_the_band_is_left_out() -> None:
    assert np.all(gains(700.0) < 1e-3)


def test_too_low_a_rate_is_refused_in_words() -> None:
    with pytest.raises(ValueError, match=r"500 Hz.*need 1700"):
        HalvingDifferentiator(500.0, 1)


@pytest.mark.parametrize("sizes", [(2, 600), (510, 4), (32768,)])
def test_blocks_change_nothing(sizes: tuple[int, ...]) -> None:
    rows = np.random.default_rng(3).standard_normal((2, 9000))
    whole = FlutterFilters(2000.0, 6.0)
    signal, noise = whole.feed(rows[0], rows[1])
    parts, first, k = FlutterFilters(2000.0, 6.0), 0, 0
    made: list[tuple[np.ndarray, np.ndarray | None]] = []
    while first < rows.shape[1]:
        size = sizes[k % len(sizes)]
        made.append(parts.feed(rows[0, first : first + size], rows[1, first : first + size]))
        first, k = first + size, k + 1
    np.testing.assert_allclose(np.concatenate([m[0] for m in made], axis=1), signal, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(
        np.concatenate([m[1] for m in made if m[1] is not None], axis=1), noise, rtol=1e-9, atol=1e-9
    )


def test_stand_in_has_the_power_of_white_phase_noise() -> None:
    """Independent noise of one strength in phase and amplitude: equal power in every output but for chance."""
    rows = 0.01 * np.random.default_rng(4).standard_normal((2, 400_000))
    signal, noise = FlutterFilters(2000.0, 6.0).feed(rows[0], rows[1])
    assert noise is not None
    ratio = np.mean(noise[:, 5000:] ** 2, axis=1) / np.mean(signal[:, 5000:] ** 2, axis=1)
    np.testing.assert_allclose(ratio[[0, 1, 3]], 1.0, atol=0.03)
    assert ratio[2] == pytest.approx(1.0, abs=0.25)  # some 2000 independent values only


def test_slow_change_of_level_is_not_taken_for_noise() -> None:
    t = np.arange(40_000) / 2000.0
    _, noise = FlutterFilters(2000.0, 6.0).feed(np.zeros_like(t), 0.1 * np.cos(TURN * 0.5556 * t))
    assert noise is not None
    assert np.max(np.abs(noise[:, 3000:])) < 0.02  # rad/s: a deviation of 1e-4 % on 3150 Hz, for 10 % of sway


def test_stand_in_may_pause_and_start_afresh() -> None:
    rows = np.random.default_rng(5).standard_normal((2, 24_000))
    whole, paused = FlutterFilters(2000.0, 6.0), FlutterFilters(2000.0, 6.0)
    _, steady = whole.feed(rows[0], rows[1])
    paused.feed(rows[0, :8000], None)
    _, late = paused.feed(rows[0, 8000:], rows[1, 8000:])
    assert steady is not None
    assert late is not None
    first = paused.noise_from
    assert first > 0
    settled = slice(first + 4000, None)
    np.testing.assert_allclose(late[0, settled], steady[0, -late.shape[1] :][settled], atol=2e-3 * np.std(steady[0]))


def test_analogue_forms_are_the_textbook_ones() -> None:
    hz = np.array([0.2, 3.0, 200.0])
    np.testing.assert_allclose(np.abs(unweighted().response(hz)), [band(f) for f in hz], rtol=1e-9)
    assert abs(butterworth(4, 6.0, "lowpass").response(np.array([6.0]))[0]) == pytest.approx(math.sqrt(0.5))
