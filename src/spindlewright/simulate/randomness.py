"""Seeded randomness: one independent stream per effect, so that switching one effect leaves the others alone."""

from __future__ import annotations

import zlib

import numpy as np


def stream(seed: int, effect: str) -> np.random.Generator:
    """Random generator of one named effect."""
    return np.random.Generator(np.random.SFC64(np.random.SeedSequence([seed, zlib.crc32(effect.encode())])))
