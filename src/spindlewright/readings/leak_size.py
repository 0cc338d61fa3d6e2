"""Size in dB of a small complex ratio seen through noise: noise power taken off, calibrated interval or bound.

Source: distribution of the squared size of a complex value in normal noise (non-central chi-squared with two
degrees of freedom; Rice's for its root), derived here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import special

from spindlewright.readings.channel_pair import DB_PER_NEPER, Leak
from spindlewright.signal.correlated_mean import NORMAL_975

SMALLEST_STEP = 2.0**-24
"""Smallest step of a 24-bit recording, full scale 1: a channel of pure zeros is only known to lie below it."""
SEEN_FROM = 3.0
"""Size over standard uncertainty of one part below which only an upper bound is given: noise alone goes beyond
it in 1.1 % of cases."""
NOISE_MEDIAN = math.sqrt(2.0 * math.log(2.0))
"""Median size of noise alone over the standard uncertainty of one part (Rayleigh's distribution)."""
PLAIN_FROM = 12.0
"""The same, from which the plain first-order interval serves."""


@dataclass(frozen=True, slots=True)
class LeakSize:
    """``value_db`` with ``standard_uncertainty_db`` so that 1.960 of it hold 95 %; a bound when ``below_noise``."""

    value_db: float
    standard_uncertainty_db: float
    below_noise: bool


def leak_size(leak: Leak, reference_amplitude: float) -> LeakSize:
    """Size of ``leak``; ``reference_amplitude`` is the driven output's peak amplitude, full scale 1.

    A bound holds the true size with 95 % (one-sided) and has the distance down to the noise as its uncertainty.

    >>> round(leak_size(Leak(0.1j, ((1e-10, 0.0), (0.0, 1e-10))), 0.5).value_db, 6)
    -20.0
    """
    step = SMALLEST_STEP / max(reference_amplitude, SMALLEST_STEP)
    per_part = max(math.sqrt(max(leak.noise_power, 0.0) / 2.0), 1e-3 * step)
    size = abs(leak.value)
    if size < max(SEEN_FROM * per_part, step):
        bound = max(_upper_bound(size / per_part) * per_part, step)
        down = DB_PER_NEPER * math.log(bound / per_part)
        return LeakSize(DB_PER_NEPER * math.log(bound), down / NORMAL_975, True)
    true_size = math.sqrt(size**2 - 2.0 * per_part**2)
    ratio = true_size / per_part
    if ratio >= PLAIN_FROM:
        radial = leak.turned(leak.value.conjugate() / size).u_real
        u_db = DB_PER_NEPER * max(radial, 0.0) / true_size
    else:
        u_db = _interval_db(size / per_part, ratio) / NORMAL_975
    return LeakSize(DB_PER_NEPER * math.log(true_size), u_db, False)


def _upper_bound(seen: float) -> float:
    """True size (in standard uncertainties of one part) at which sizes up to ``seen`` turn up in 5 %.

    A size that is small by luck counts as the median of noise alone, so that luck makes no bound too low.
    """
    seen = max(seen, NOISE_MEDIAN)
    low, high = 0.0, seen + 8.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if float(special.chndtr(seen**2, 2.0, middle**2)) > 0.05:
            low = middle
        else:
            high = middle
    return high


def _interval_db(seen: float, about: float) -> float:
    """Half-width in dB around ``about`` that holds the true size with 95 % when ``seen`` was seen.

    All true sizes taken as equally likely beforehand; sizes in standard uncertainties of one part.
    """
    true = np.linspace(0.0, seen + 8.0, 4001)[1:]
    chance = special.i0e(true * seen) * np.exp(-0.5 * (true - seen) ** 2)
    away = np.abs(DB_PER_NEPER * np.log(true / about))
    order = np.argsort(away)
    share = np.cumsum(chance[order])
    return float(away[order][np.searchsorted(share, 0.95 * share[-1])])
