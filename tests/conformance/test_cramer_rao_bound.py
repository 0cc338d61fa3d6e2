"""How well the frequency of a tone in noise can be known at best, and how near the speed reading comes.

Source: Rife and Boorstyn 1974 (memory), numbers of the reference page 18 (derived there):
sd(f) >= fs·sqrt(12/((2π)²·η·N·(N² - 1))), η = A²/(2σ²), real sine, amplitude and phase unknown.
"""

import math

import numpy as np
import pytest
from scipy import optimize

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.listener import Listener
from spindlewright.readings.side import Side
from spindlewright.readings.speed import Speed

PUBLISHED = [  # SNR dB, rate Hz, seconds, bound Hz
    (40.0, 48000, 1.0, 2.516e-5),
    (40.0, 48000, 10.0, 7.958e-7),
    (20.0, 48000, 0.1, 7.958e-3),
    (40.0, 44100, 60.0, 5.65e-8),
]


def bound_hz(snr_db: float, rate_hz: float, seconds: float) -> float:
    count = seconds * rate_hz
    snr = 10.0 ** (snr_db / 10.0)
    return rate_hz * math.sqrt(12.0 / ((2.0 * math.pi) ** 2 * snr * count * (count**2 - 1.0)))


@pytest.mark.parametrize(("snr_db", "rate_hz", "seconds", "published_hz"), PUBLISHED)
def test_published_bounds(snr_db: float, rate_hz: int, seconds: float, published_hz: float) -> None:
    assert bound_hz(snr_db, rate_hz, seconds) == pytest.approx(published_hz, rel=1.5e-3)


def test_bound_is_the_inverse_of_the_information() -> None:
    """Fisher's information of amplitude, phase and frequency, inverted by numpy, for the third row."""
    rate_hz, count, tone_hz, sigma = 48000.0, 4800, 3150.0, 0.1 / math.sqrt(2.0)
    n = np.arange(count)
    angle = 2.0 * np.pi * tone_hz * n / rate_hz + 0.4
    slopes = np.column_stack([np.cos(angle), -np.sin(angle), -np.sin(angle) * 2.0 * np.pi * n / rate_hz])
    covariance = np.linalg.inv(slopes.T @ slopes) * sigma**2
    assert math.sqrt(covariance[2, 2]) == pytest.approx(bound_hz(20.0, rate_hz, 0.1), rel=1e-3)


def test_a_least_squares_estimator_reaches_the_bound() -> None:
    """The page: 1.02 times the bound at 20 dB and N = 800; here 400 takes, sd known to 3.5 %."""
    rng = np.random.default_rng(4)
    rate_hz, count, tone_hz = 8000.0, 800, 1000.3
    n = np.arange(count)
    takes = []
    for phase in rng.uniform(0.0, 2.0 * np.pi, 400):
        sound = np.cos(2.0 * np.pi * tone_hz * n / rate_hz + phase) + 0.1 / math.sqrt(2.0) * rng.standard_normal(count)

        def left_over(frequency_hz: float, sound: np.ndarray = sound) -> float:
            angle = 2.0 * np.pi * frequency_hz * n / rate_hz
            basis = np.column_stack([np.cos(angle), np.sin(angle)])
            return float(np.linalg.lstsq(basis, sound, rcond=None)[1][0])

        best = optimize.minimize_scalar(left_over, bounds=(999.8, 1000.8), method="bounded", options={"xatol": 1e-7})
        takes.append(best.x)
    assert np.std(takes) == pytest.approx(bound_hz(20.0, rate_hz, count / rate_hz), rel=0.12)


@pytest.mark.parametrize(("snr_db", "seconds"), [(40.0, 5.0), (20.0, 9.0)])
def test_the_speed_reading_stays_within_one_and_a_half_times_the_bound(snr_db: float, seconds: float) -> None:
    """40 takes of a steady 3150 Hz tone in white noise, the same in both channels; sd known to 11 %."""
    rate_hz, tone_hz = 8000.0, 3150.0
    count = int(seconds * rate_hz)
    rng = np.random.default_rng(7)
    sigma = 0.1 / math.sqrt(2.0) * 10.0 ** (-snr_db / 20.0)
    level = 20.0 * math.log10(0.1)
    band = Band(0, 0.0, seconds, "tone", Levels(level, level), tone_hz, tone_hz, right_phase_deg=0.0)
    side = Side(rate_hz, bands=(band,), main_band=0)
    n = np.arange(count)
    found = []
    for phase in rng.uniform(0.0, 2.0 * np.pi, 40):
        sound = 0.1 * np.cos(2.0 * np.pi * tone_hz * n / rate_hz + phase) + sigma * rng.standard_normal(count)
        listener = Listener(band, side, (Speed(),), 0.0)
        listener.feed(np.stack([sound, sound], axis=1).astype(np.float32))
        outcome = Speed().conclude([seen for _, seen in listener.finish()], side, {})
        found.append(outcome.readings[0].value / 100.0 * tone_hz)
    assert np.std(found) < 1.5 * bound_hz(snr_db, rate_hz, seconds)
    assert abs(np.mean(found)) < 4.0 / math.sqrt(40) * 1.5 * bound_hz(snr_db, rate_hz, seconds)
