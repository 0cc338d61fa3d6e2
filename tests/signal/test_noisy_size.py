"""Two-sigma size and rms of lines and Gaussian flutter in noise: noise off in power, scatter as stated."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import special

from spindlewright.signal.noisy_size import NoisySize, NoisySizes, line_in_noise_two_sigma

COUNT = 20_000


def sizes_of(signal: np.ndarray, noise: float, seed: int) -> NoisySizes:
    rng = np.random.default_rng(seed)
    one, other = noise * rng.standard_normal((2, len(signal)))
    sizes = NoisySizes(1, 500)
    sizes.add((signal + one)[None, :], other[None, :])
    return sizes


def two_sigma(signal: np.ndarray, noise: float, seed: int = 1) -> NoisySize:
    return sizes_of(signal, noise, seed).two_sigma(0)


def sine() -> np.ndarray:
    return np.sin(2.0 * np.pi * 0.004123 * np.arange(COUNT))


def test_without_noise_it_is_the_plain_percentile() -> None:
    seen = two_sigma(sine(), 0.0)
    assert seen.raw == pytest.approx(math.sin(0.95 * math.pi / 2.0), rel=3e-4)
    assert seen.power == pytest.approx(seen.raw**2, rel=1e-12)
    assert seen.power_scatter == 0.0


@pytest.mark.parametrize("noise", [0.05, 0.15, 0.3])
def test_noise_comes_off_a_line(noise: float) -> None:
    found = np.mean([two_sigma(sine(), noise, seed).power for seed in range(12)])
    assert math.sqrt(found) == pytest.approx(0.99692, rel=0.01)
    assert two_sigma(sine(), noise).raw > 1.01


@pytest.mark.parametrize("noise", [0.3, 1.0])
def test_noise_comes_off_gaussian_flutter(noise: float) -> None:
    """Two Gaussians add in power: 1.95996 sigma before and after (published values 1.5)."""
    found = []
    for seed in range(12):
        flutter = np.random.default_rng(100 + seed).standard_normal(COUNT)
        found.append(two_sigma(flutter, noise, seed).power)
    assert math.sqrt(np.mean(found)) == pytest.approx(1.95996, rel=0.02)


def test_power_of_pure_noise_is_nothing_within_its_scatter() -> None:
    z = [(s := two_sigma(np.zeros(COUNT), 0.5, seed)).power / s.power_scatter for seed in range(60)]
    assert abs(float(np.mean(z))) < 0.5
    assert 0.6 < float(np.std(z)) < 1.3


@pytest.mark.parametrize("noise", [0.1, 1.0])
def test_stated_scatter_of_the_rms_is_the_scatter_seen(noise: float) -> None:
    z = [((s := sizes_of(sine(), noise, seed).rms(0)).power - 0.5) / s.power_scatter for seed in range(60)]
    assert abs(float(np.mean(z))) < 0.5
    assert 0.75 < float(np.std(z)) < 1.3


def test_thin_counting_gives_the_same_size() -> None:
    full, thin = sizes_of(sine(), 0.02, 3), sizes_of(sine(), 0.02, 3)
    further = sine() + 0.02 * np.random.default_rng(9).standard_normal(COUNT)
    for _ in range(3):
        thin.add_thin(further[None, ::8], 8)
    assert thin.two_sigma(0).power == pytest.approx(full.two_sigma(0).power, rel=5e-3)
    assert thin.rms(0).power == pytest.approx(full.rms(0).power, rel=5e-3)
    assert thin.two_sigma(0).power_scatter < full.two_sigma(0).power_scatter


def test_blocks_change_nothing() -> None:
    rng = np.random.default_rng(1)
    signal, noise = rng.standard_normal((2, 1, COUNT))
    whole, parts = NoisySizes(1, 500), NoisySizes(1, 500)
    whole.add(signal, noise)
    for first in range(0, COUNT, 333):
        parts.add(signal[:, first : first + 333], noise[:, first : first + 333])
    for one, other in ((whole.two_sigma(0), parts.two_sigma(0)), (whole.rms(0), parts.rms(0))):
        assert other.power == pytest.approx(one.power, rel=1e-12)
        assert other.power_scatter == pytest.approx(one.power_scatter, rel=1e-5)


def test_line_in_noise_at_both_ends_and_by_random_draws() -> None:
    assert line_in_noise_two_sigma(0.5, 0.0) == pytest.approx(math.sin(0.95 * math.pi / 2.0))
    assert line_in_noise_two_sigma(0.0, 1.0) == pytest.approx(special.ndtri(0.975))
    rng = np.random.default_rng(7)
    drawn = np.sin(rng.uniform(0.0, 7.0 * np.pi * 2.0, 400_000)) + 0.4 * rng.standard_normal(400_000)
    assert line_in_noise_two_sigma(0.5, 0.16) == pytest.approx(np.quantile(np.abs(drawn), 0.95), rel=3e-3)
