"""Crosstalk against hand-mixed leaks, closed forms of published values 13 and an FFT route over the whole sound."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest
from carrier_scene import bands_of, baseband, concluded, listened, outputs, sound

from spindlewright.readings.crosstalk import Crosstalk

KINDS = ("left", "right")


def views(matrix: np.ndarray, seconds: float = 12.0, seed: int = 21, **more: float) -> list[np.ndarray]:
    rng = np.random.default_rng(seed)
    return [baseband(matrix, kind, seconds, rng, **more) for kind in KINDS]  # type: ignore[arg-type]


@pytest.mark.parametrize(("theta", "decibel"), [(0.5, -41.183), (1.0, -35.162), (2.0, -29.138), (5.0, -21.161)])
def test_published_table_of_a_pure_lean(theta: float, decibel: float) -> None:
    # published values 13 (derived): same size both ways, opposite polarity.
    left, right = concluded(Crosstalk(), bands_of(KINDS, 12.0), views(outputs(theta), noise_db=-70.0)).readings
    assert left.quantity == "crosstalk_left_to_right"
    assert left.value == pytest.approx(decibel, abs=max(0.02, left.uncertainty))
    assert right.value == pytest.approx(decibel, abs=max(0.02, right.uncertainty))
    assert left.conditions["in_phase"] < 0.0 < right.conditions["in_phase"]
    assert abs(left.conditions["phase_deg"]) == pytest.approx(180.0, abs=3.0)
    assert right.conditions["phase_deg"] == pytest.approx(0.0, abs=3.0)


def test_as_the_outputs_stand_with_phase() -> None:
    # Coils leak 0.02 at 40°, left 2 dB stronger: left to right falls by 2 dB, right to left rises by 2 dB.
    coils = 0.02 * cmath.exp(1j * math.radians(40.0))
    left, right = concluded(Crosstalk(), bands_of(KINDS, 12.0), views(outputs(0.0, coils, 2.0))).readings
    assert left.value == pytest.approx(20 * math.log10(0.02) - 2.0, abs=0.05)
    assert right.value == pytest.approx(20 * math.log10(0.02) + 2.0, abs=0.05)
    assert left.conditions["phase_deg"] == pytest.approx(40.0, abs=1.0)
    assert right.conditions["phase_deg"] == pytest.approx(40.0, abs=1.0)


def fft_route(heard: np.ndarray, tone_hz: float, rate_hz: float) -> complex:
    """Right over left at the tone alone, by one Fourier transform of the whole sound: the cross power within 30 Hz."""
    spectrum = np.fft.rfft(heard.astype(float) * np.hanning(len(heard))[:, None], axis=0)
    hz = np.fft.rfftfreq(len(heard), 1.0 / rate_hz)
    near = np.abs(hz - tone_hz) < 30.0
    left, right = spectrum[near].T
    return complex(np.sum(right * left.conj()) / np.sum(np.abs(left) ** 2))


@pytest.mark.parametrize("tone_hz", [315.0, 1000.0, 10_000.0])
@pytest.mark.parametrize("leak_db", [-20.0, -45.0])
def test_agrees_with_the_fft_route_on_sound(tone_hz: float, leak_db: float) -> None:
    rng = np.random.default_rng(22)
    coils = 10 ** (leak_db / 20) * cmath.exp(0.6j)
    heard = [sound(outputs(0.0, coils), kind, 8.0, rng, tone_hz=tone_hz) for kind in KINDS]
    found = listened([Crosstalk()], bands_of(KINDS, 8.0, tone_hz), heard)
    (reading,) = found["crosstalk_left_to_right"]
    other = fft_route(heard[0], tone_hz, 48_000.0)
    assert reading.value == pytest.approx(20 * math.log10(abs(other)), abs=0.02 + reading.uncertainty)
    assert reading.value == pytest.approx(leak_db, abs=min(0.3, 0.02 + 1.5 * reading.uncertainty))
    assert reading.conditions["phase_deg"] == pytest.approx(math.degrees(cmath.phase(other)), abs=1.0)


def test_ticks_and_hum_move_it_by_less_than_its_uncertainty() -> None:
    matrix = outputs(0.0, 10 ** (-45 / 20))
    hum = [(50.0 * k, -50.0 - 2.0 * k) for k in range(1, 11)]
    for more in ({"ticks_per_minute": 60.0}, {"hum": hum}):
        heard = sound(matrix, "left", 10.0, np.random.default_rng(23), **more)  # type: ignore[arg-type]
        found = listened([Crosstalk()], bands_of(("left",), 10.0), [heard])
        (reading,) = found["crosstalk_left_to_right"]
        assert reading.value == pytest.approx(-45.0, abs=1.5 * reading.uncertainty)
        assert reading.uncertainty < 0.3


@pytest.mark.parametrize("block", [127, 4096, 65_536])
def test_block_size_changes_nothing(block: int) -> None:
    heard = [sound(outputs(1.0, 0.01j), k, 4.0, np.random.default_rng(24)) for k in KINDS]
    whole = listened([Crosstalk()], bands_of(KINDS, 4.0), heard)
    parts = listened([Crosstalk()], bands_of(KINDS, 4.0), heard, block=block)
    for quantity, readings in whole.items():
        for a, b in zip(readings, parts[quantity], strict=True):
            assert b.value == pytest.approx(a.value, rel=1e-9)
            assert b.uncertainty == pytest.approx(a.uncertainty, rel=1e-9)


def test_gain_of_the_recording_changes_nothing() -> None:
    heard = views(outputs(1.0, 0.01j))
    loud, soft = (
        concluded(Crosstalk(), bands_of(KINDS, 12.0), [v * gain for v in heard]).readings for gain in (1.0, 0.01)
    )
    for a, b in zip(loud, soft, strict=True):
        assert b.value == pytest.approx(a.value, rel=1e-9)


@pytest.mark.parametrize("seconds", [3.0, 12.0])
def test_leak_that_turns_with_the_disc_reads_its_mean_over_a_turn(seconds: float) -> None:
    # 0.03 ± 0.01 once per turn. From two turns on it is fitted and taken out; in 3 s (1.67 turns) the remainder of
    # a turn stands in the uncertainty.
    left, right = views(outputs(), seconds, noise_db=-70.0)
    t = np.arange(len(left)) / 2000.0
    for start in (0.0, 1.0, 2.0, 4.0):
        turning = left.copy()
        turning[:, 1] += left[:, 0] * (0.03 + 0.01 * np.cos(2 * np.pi * t / 1.8 + start))
        reading = concluded(Crosstalk(), bands_of(KINDS, seconds), [turning, right]).readings[0]
        assert reading.value == pytest.approx(20 * math.log10(0.03), abs=reading.uncertainty + 0.002)
        assert reading.uncertainty < 0.01 if seconds > 5.0 else reading.uncertainty > 0.3


def test_leak_in_the_noise_is_an_upper_bound() -> None:
    held = 0
    for seed in range(40):
        outcome = concluded(
            Crosstalk(), bands_of(KINDS, 3.0), views(outputs(0.0, 10 ** (-90 / 20)), 3.0, seed, noise_db=-40.0)
        )
        for reading in outcome.readings:
            assert reading.value < -60.0  # noise of -40 dB over some 3 s of 2 kHz
            if reading.conditions["below_noise"]:
                held += 1
                assert reading.value > -90.0
                assert reading.conditions["phase_deg"] is None
    assert held >= 75  # three standard uncertainties are passed by noise alone in 1.1 % of cases


def test_channel_of_pure_zeros_is_bounded_by_the_smallest_step() -> None:
    left, right = views(outputs(), noise_db=-70.0)
    left[:, 1] = 0.0
    reading = concluded(Crosstalk(), bands_of(KINDS, 12.0), [left, right]).readings[0]
    assert reading.conditions["below_noise"] is True
    # 2^-24 under a tone of 0.3: -144.5 + 10.5 dB.
    assert reading.value == pytest.approx(20 * math.log10(2.0**-24 / 0.3), abs=0.1)
    assert math.isfinite(reading.uncertainty)


def test_main_is_the_band_nearest_1_khz_each_way() -> None:
    kinds = ("left", "left", "right")
    rng = np.random.default_rng(26)
    bands = bands_of(kinds, 4.0)
    bands = (replace(bands[0], nominal_hz=10_000.0), bands[1], bands[2])
    outcome = concluded(Crosstalk(), bands, [baseband(outputs(2.0), k, 4.0, rng) for k in kinds])
    assert [(r.band, r.conditions["main"]) for r in outcome.readings] == [(0, False), (1, True), (2, True)]
