"""Recursive filters by matrix products, against another library's design and its sample-by-sample filter."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest
from scipy import signal as scipy_signal

from spindlewright.signal.flutter_filters import Analogue, butterworth, in_series, unweighted, weighting
from spindlewright.signal.recursive_filter import (
    BLOCK,
    RecursiveFilter,
    bilinear,
    response,
    sections_of,
    zero_pole_response,
)

RATE_HZ = 1000.0
FILTERS = {
    "weighting": weighting(),
    "0.2 to 200 Hz": unweighted(),
    "split low": butterworth(4, 6.0, "lowpass"),
    "split high": butterworth(4, 6.0, "highpass"),
    "odd order": butterworth(3, 20.0, "highpass"),
    "high order": in_series(butterworth(6, 5.0, "highpass"), butterworth(5, 90.0, "lowpass")),
}


@pytest.mark.parametrize("name", FILTERS)
def test_bilinear_transform_is_the_one_of_scipy(name: str) -> None:
    one = FILTERS[name]
    wanted = scipy_signal.bilinear_zpk(one.zeros, one.poles, one.gain, RATE_HZ)
    made = bilinear(one.zeros, one.poles, one.gain, RATE_HZ)
    np.testing.assert_allclose(made[0], wanted[0], rtol=1e-12)
    np.testing.assert_allclose(made[1], wanted[1], rtol=1e-12)
    assert made[2] == pytest.approx(float(wanted[2]), rel=1e-12)


@pytest.mark.parametrize("order", [2, 3, 4])
@pytest.mark.parametrize("kind", ["lowpass", "highpass"])
def test_butterworth_is_the_one_of_scipy(order: int, kind: Literal["lowpass", "highpass"]) -> None:
    wanted = Analogue(*scipy_signal.butter(order, 2.0 * np.pi * 7.0, kind, analog=True, output="zpk"))
    hz = np.geomspace(0.1, 400.0, 50)
    made = butterworth(order, 7.0, kind).response(hz)
    np.testing.assert_allclose(made, wanted.response(hz), rtol=1e-12)


@pytest.mark.parametrize("name", FILTERS)
def test_filtering_and_response_are_those_of_scipy(name: str) -> None:
    one = FILTERS[name]
    zeros, poles, gain = bilinear(one.zeros, one.poles, one.gain, RATE_HZ)
    sections = sections_of(zeros, poles, gain)
    theirs = scipy_signal.zpk2sos(zeros, poles, gain)
    row = np.random.default_rng(7).standard_normal(30_000)
    wanted = scipy_signal.sosfilt(theirs, row)
    made = RecursiveFilter(sections).feed(row)
    np.testing.assert_allclose(made, wanted, rtol=0, atol=1e-9 * np.abs(wanted).max())
    hz = np.geomspace(0.2, 450.0, 100)
    _, wanted_gain = scipy_signal.freqz_sos(theirs, worN=hz, fs=RATE_HZ)
    scale = np.abs(wanted_gain).max()
    np.testing.assert_allclose(response(sections, hz, RATE_HZ), wanted_gain, rtol=1e-6, atol=1e-9 * scale)
    np.testing.assert_allclose(
        zero_pole_response(zeros, poles, gain, hz, RATE_HZ), wanted_gain, rtol=1e-6, atol=1e-9 * scale
    )


@pytest.mark.parametrize("size", [1, 2, BLOCK - 1, BLOCK, BLOCK + 1, 1000])
def test_the_size_of_the_blocks_changes_nothing(size: int) -> None:
    sections = sections_of(*bilinear(weighting().zeros, weighting().poles, weighting().gain, RATE_HZ))
    row = np.random.default_rng(8).standard_normal(3000)
    whole, parts = RecursiveFilter(sections).feed(row), RecursiveFilter(sections)
    made = np.concatenate([parts.feed(row[k : k + size]) for k in range(0, len(row), size)])
    np.testing.assert_allclose(made, whole, rtol=0, atol=1e-10 * np.abs(whole).max())
    assert len(parts.feed(np.zeros(0))) == 0
