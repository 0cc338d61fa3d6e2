"""Filters by the window method, against another library's design of the same."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal as scipy_signal

from spindlewright.signal.windowed_sinc import band_pass, kaiser_beta, low_pass


@pytest.mark.parametrize("taps", [35, 480, 481])
def test_low_pass_is_the_one_of_scipy(taps: int) -> None:
    wanted = scipy_signal.firwin(taps, 600.0, window=("kaiser", 6.0), fs=96_000.0)
    np.testing.assert_allclose(low_pass(taps, 600.0, 6.0, 96_000.0), wanted, rtol=0, atol=1e-15)


@pytest.mark.parametrize("taps", [61, 64])
def test_band_pass_is_the_one_of_scipy(taps: int) -> None:
    wanted = scipy_signal.firwin(taps, [1500.0, 10_000.0], pass_zero=False, window=("kaiser", 5.0), fs=96_000.0)
    np.testing.assert_allclose(band_pass(taps, 1500.0, 10_000.0, 5.0, 96_000.0), wanted, rtol=0, atol=1e-14)


def test_kaisers_formula_is_the_one_of_scipy() -> None:
    assert kaiser_beta(56.0) == pytest.approx(scipy_signal.kaiser_beta(56.0), rel=1e-14)
    with pytest.raises(ValueError, match="above 50 dB"):
        kaiser_beta(40.0)
