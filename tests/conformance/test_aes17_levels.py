"""What 0 dBFS means, and how far ideal converters reach below it.

Source: AES17 / IEC 61606 convention (confirmed by look-up in secondary sources); quantising noise derived, reference
page 18.
"""

import numpy as np
import pytest

from spindlewright.standards import aes17_2020 as standard


def rms(x: np.ndarray) -> float:
    return float(np.sqrt(np.mean(np.square(x))))


def full_scale_sine(seconds: int = 1) -> np.ndarray:
    return np.sin(2.0 * np.pi * 997.0 * np.arange(48000 * seconds) / 48000.0)


def test_full_scale_sine_reads_0() -> None:
    assert float(standard.dbfs(rms(full_scale_sine()))) == pytest.approx(0.0, abs=1e-9)
    assert float(standard.dbfs_of_sine_peak(1.0)) == 0.0


def test_full_scale_square_reads_3_01() -> None:
    assert float(standard.dbfs(rms(np.sign(full_scale_sine() + 1e-9)))) == pytest.approx(3.0103, abs=1e-4)
    assert standard.FULL_SCALE_SQUARE_DBFS.value == pytest.approx(3.0103, abs=1e-4)


def test_sine_12_db_down() -> None:
    assert float(standard.dbfs(rms(0.25 * full_scale_sine()))) == pytest.approx(-12.0412, abs=1e-4)


def test_there_and_back() -> None:
    levels = np.array([-120.0, -3.0, 0.0, 3.0])
    np.testing.assert_allclose(standard.dbfs(standard.rms_of_dbfs(levels)), levels, atol=1e-12)


def test_silence_and_nonsense() -> None:
    assert float(standard.dbfs(0.0)) == -np.inf
    assert np.isnan(float(standard.dbfs(np.nan)))
    assert np.isnan(float(standard.dbfs(-1.0)))


@pytest.mark.parametrize(("bits", "published_db"), [(16, 98.09), (24, 146.26)])
def test_ideal_quantising_noise(bits: int, published_db: float) -> None:
    """Published: 98.09 and 146.26 dB below a full-scale sine; closed form: step/√12 with 2^bits steps over ±1."""
    step = 2.0 / 2**bits
    assert -float(standard.dbfs(step / np.sqrt(12.0))) == pytest.approx(published_db, abs=0.005)


def test_quantising_noise_of_real_samples() -> None:
    sine = full_scale_sine(2) * (1.0 - 2.0**-15)
    noise = np.round(sine * 32768.0) / 32768.0 - sine
    assert -float(standard.dbfs(rms(noise))) == pytest.approx(98.09, abs=0.1)
