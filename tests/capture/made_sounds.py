"""Sounds for the tests of this room, made with numpy alone."""

from __future__ import annotations

import numpy as np


def tone(rate: int, seconds: float, hertz: float = 1000.0, peak: float = 0.25, seed: int = 1) -> np.ndarray:
    """(n, 2) float64: a tone in both channels, unlike in level and phase, with independent noise 60 dB below."""
    n = round(rate * seconds)
    time = np.arange(n) / rate
    hertz = min(hertz, rate / 12.3)
    noise = np.random.default_rng(seed).standard_normal((n, 2)) * 1e-3 * peak
    left = peak * np.sin(2 * np.pi * hertz * time + 0.4)
    right = 0.93 * peak * np.sin(2 * np.pi * hertz * time + 0.45)
    return np.stack([left, right], axis=1) + noise


def groove_noise(rate: int, seconds: float, rms: float = 1e-3, seed: int = 2) -> np.ndarray:
    """(n, 2): independent noise in both channels."""
    return np.random.default_rng(seed).standard_normal((round(rate * seconds), 2)) * rms


def music_like(rate: int, seconds: float, seed: int = 3) -> np.ndarray:
    """(n, 2): low-passed noise whose loudness changes ten times a second, partly common to both channels."""
    draw = np.random.default_rng(seed)
    n = round(rate * seconds)
    common, own = draw.standard_normal((n, 1)), draw.standard_normal((n, 2))
    sound = common + 0.5 * own
    kernel = np.hanning(33)
    sound = np.stack([np.convolve(sound[:, c], kernel / kernel.sum(), "same") for c in range(2)], axis=1)
    loudness = np.repeat(draw.uniform(0.02, 0.3, 1 + n // (rate // 10)), rate // 10)[:n]
    return sound * loudness[:, None] / np.abs(sound).max()


def quantised(sound: np.ndarray, bits: int) -> np.ndarray:
    """Rounded to ``bits`` and clipped at full scale, as a converter does."""
    steps = 2.0 ** (bits - 1)
    return np.clip(np.round(sound * steps), -steps, steps - 1) / steps
