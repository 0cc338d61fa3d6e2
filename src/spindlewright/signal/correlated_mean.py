"""Mean of a series whose neighbours are related, with a standard error that allows for it.

Segments of a recording are not independent: a disc varies once per turn, hum beats with a tone. The variance of
their mean is the long-run variance (sum of all autocovariances) over the count, here with triangular lag weights.

Source: heteroscedasticity- and autocorrelation-consistent variance, Newey & West, Econometrica 55 (1987);
degrees of freedom of the triangular window, textbook spectral estimation. Status: memory; checked by random
draws in the tests.
"""

from __future__ import annotations

import numpy as np
from scipy import special

NORMAL_975 = float(special.ndtri(0.975))
MAD_TO_SIGMA = 1.0 / float(special.ndtri(0.75))


def inliers(values: np.ndarray, limit: float = 6.0) -> np.ndarray:
    """Mask (n,) of the rows of real ``values`` (n, k) within ``limit`` robust standard deviations of the median.

    The scale is the median absolute deviation of each column; a column that does not vary leaves out nothing
    but what differs from it by more than rounding.

    >>> inliers(np.array([[1.0], [1.1], [0.9], [1.0], [9.0]])).tolist()
    [True, True, True, True, False]
    """
    middle = np.median(values, axis=0)
    apart = np.abs(values - middle)
    scale = MAD_TO_SIGMA * np.median(apart, axis=0)
    floor = 1e-9 * np.max(np.abs(middle), initial=1e-30)
    return np.asarray(np.all(apart <= limit * np.maximum(scale, floor), axis=1))


def long_run_covariance(values: np.ndarray, fitted: float = 1.0) -> np.ndarray:
    """Covariance (k, k) of the mean of the rows of ``values`` (n, k), n >= 4, neighbours related or not.

    ``fitted`` is how many slow things (the mean is one, a faster one less) have been fitted to the rows and so hide
    a part of the slow scatter. Scaled for the few degrees of freedom of a short series, so that 1.960 standard errors
    hold the true mean in 95 of 100 draws. Range: relations that die out within about n^(1/3) rows or repeat many
    times.
    """
    count = len(values)
    centred = values - values.mean(axis=0)
    lags = min(max(1, round(1.3 * count ** (1.0 / 3.0))), count - 2)
    total = centred.T @ centred
    for lag in range(1, lags + 1):
        product = centred[lag:].T @ centred[:-lag]
        total += (1.0 - lag / (lags + 1.0)) * (product + product.T)
    degrees = max(1.5 * count / (lags + 1.0) - (fitted - 1.0), 2.0)
    widen = float(special.stdtrit(degrees, 0.975)) / NORMAL_975
    left = 1.0 - fitted * (lags + 1.0) / count  # what was fitted hides the rest of the variance
    return np.asarray(total / count**2 / max(left, 0.25) * widen**2)


def steady_part(values: np.ndarray, passing: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean (k,) of ``values`` (n, k) with what follows ``passing`` (n, m) taken out, and its covariance (k, k).

    ``passing`` holds things that come and go and would only widen the scatter: once-per-turn sines, the local speed.
    They are fitted by least squares together with the mean and read at zero. No columns: the plain mean. Range:
    n of at least five times m + 1.
    """
    count = len(values)
    table = np.column_stack([np.ones(count), passing])
    inverse = np.linalg.pinv(table, rcond=1e-9)
    fitted = inverse @ values
    rest = values - table @ fitted
    share = count * inverse[0][:, None] * rest
    rank = int(np.linalg.matrix_rank(table))
    return np.asarray(fitted[0]), long_run_covariance(share, 0.5 * (1 + rank))
