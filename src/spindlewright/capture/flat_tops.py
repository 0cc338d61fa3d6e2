"""Flat tops with noise or dither on them: an amplifier clipped before the level was turned down.

No two samples on such a top are equal, so the distribution tells: near a limit it is crowded. Of a wave with a smooth
top, between 0.5 (a sine) and 0.71 (the flattest top a third harmonic can make) of the samples within ``FAR`` of the
crest lie within ``NEAR`` of it; of a clipped wave, nearly all. Derived: a parabola spends √(near/far) = 0.5 there, a
curve of fourth degree the square root of that.
"""

from __future__ import annotations

import math

import numpy as np

SUSPICIOUS_CREST = 0.735
"""rms over half the range: a sine has 0.707, a sine clipped by 0.4 dB 0.74, a square 1."""
NEAR, FAR = 0.015, 0.06
"""Distances from the crest, in units of half the range."""
CROWDED = 0.78
SMALLEST_SHARE = 0.06
"""At least this share of all samples lies on the crest: a sine clipped by 0.15 dB."""
CREST_QUANTILE = 0.97
SMALLEST_RANGE_STEPS = 300.0
"""``NEAR`` must span several quantising steps."""
FASTEST_PACE = 0.5
"""rms of the steps from sample to sample over rms: below 12 samples in a period a steady tone may, by chance, meet
the same few values for ever."""
MOVING_SHARE = 0.02
"""So many samples at least lie well between the limits; in a generator's square wave none do."""


def is_suspicious(rms: float, half_range: float, bits: int | None) -> bool:
    """The cheap test: more power than its range allows a smooth wave. All values re full scale, without the mean."""
    step = 2.0 ** (1 - min(bits or 24, 24))
    return rms > SUSPICIOUS_CREST * half_range and half_range > SMALLEST_RANGE_STEPS * step


def flat_share(samples: np.ndarray) -> float:
    """Share of the samples (n,) that lie on a flat top or bottom; 0 when neither is flat.

    The sine below, cut at 0.8, stays within ``NEAR`` of its crest for 2·acos(0.8 · 0.985)/π of the time (derived).

    >>> time = np.arange(32768) / 96000
    >>> sine = np.sin(2 * np.pi * 997 * time)
    >>> flat_share(sine), round(flat_share(np.clip(sine, -0.8, 0.8)), 2)
    (0.0, 0.42)
    """
    x = samples.astype(np.float64)
    x -= 0.5 * (x.max() + x.min())
    half_range = float(x.max())
    if half_range <= 0.0:
        return 0.0
    strength = math.sqrt(float(np.mean(x * x)))
    pace = math.sqrt(float(np.mean(np.diff(x) ** 2))) / strength
    if pace > FASTEST_PACE or np.count_nonzero(np.abs(x) < 0.8 * half_range) < MOVING_SHARE * len(x):
        return 0.0
    total = 0.0
    for side in (x, -x):
        distance = np.abs(side - np.quantile(side, CREST_QUANTILE))
        near = float(np.mean(distance < NEAR * half_range))
        far = float(np.mean(distance < FAR * half_range))
        if near >= SMALLEST_SHARE and near >= CROWDED * far:
            total += near
    return total
