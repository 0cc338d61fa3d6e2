"""Recursive filters over long rows by matrix products: sections, their response, and the streaming filter.

A filter of a few poles is a linear system with a few numbers of memory. A block of 64 samples passes it in one
product with the system's impulse response; only the memory is handed from block to block. So no sample is touched in
a loop, and the largest signal library, which takes longer to load than a minute of sound to measure, is not needed.
Source: state-space form and bilinear transform, textbook; derived here.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

BLOCK = 64

Section = tuple[np.ndarray, np.ndarray]
"""Coefficients of z⁰, z⁻¹ … of numerator and denominator; the denominator begins with 1."""


def bilinear(
    zeros: np.ndarray, poles: np.ndarray, gain: float, rate_hz: float
) -> tuple[np.ndarray, np.ndarray, float]:
    """Zeros, poles and gain in z of the analogue filter with these zeros and poles in rad/s, without prewarping."""
    double = 2.0 * rate_hz
    ratio = np.prod(double - zeros) / np.prod(double - poles)
    at_half_the_rate = -np.ones(len(poles) - len(zeros))
    return (
        np.concatenate([(double + zeros) / (double - zeros), at_half_the_rate]),
        (double + poles) / (double - poles),
        float(gain * np.real(ratio)),
    )


def zero_pole_response(
    zeros: np.ndarray, poles: np.ndarray, gain: float, frequency_hz: np.ndarray, rate_hz: float
) -> np.ndarray:
    """Complex gain of a filter given by zeros, poles (in z) and gain; as many zeros as poles."""
    z = np.exp(2j * np.pi * frequency_hz / rate_hz)[:, None]
    return np.asarray(gain * np.prod(z - zeros, axis=1) / np.prod(z - poles, axis=1))


def sections_of(zeros: np.ndarray, poles: np.ndarray, gain: float) -> list[Section]:
    """Second-order sections; what lies nearest to 0 Hz comes first and shares a section. As many zeros as poles."""
    pairs = list(zip(_factors(zeros), _factors(poles), strict=True))
    pairs[0] = gain * pairs[0][0], pairs[0][1]
    return pairs


def _factors(roots: np.ndarray) -> list[np.ndarray]:
    """Polynomials of two roots each (the last of one, where their number is odd), complex pairs first."""
    slowest_first = sorted(roots, key=lambda root: -root.real)
    upper = [root for root in slowest_first if root.imag > 1e-12]
    real = [root.real for root in slowest_first if abs(root.imag) <= 1e-12]
    factors = [np.array([1.0, -2.0 * root.real, abs(root) ** 2]) for root in upper]
    return factors + [np.poly(real[k : k + 2]) for k in range(0, len(real), 2)]


def response(sections: Sequence[Section], frequency_hz: np.ndarray, rate_hz: float) -> np.ndarray:
    """Complex gain of all sections one after the other."""
    delay = np.exp(-2j * np.pi * frequency_hz / rate_hz)
    gain = np.ones(len(delay), complex)
    for top, bottom in sections:
        gain *= np.polyval(top[::-1], delay) / np.polyval(bottom[::-1], delay)
    return gain


class RecursiveFilter:
    """All ``sections`` one after the other, over one row in blocks of any size; it begins at rest.

    >>> once, parts = (RecursiveFilter([(np.array([1.0]), np.array([1.0, -0.5]))]) for _ in range(2))
    >>> once.feed(np.array([1.0, 0.0, 0.0]))
    array([1.  , 0.5 , 0.25])
    >>> parts.feed(np.array([1.0])), parts.feed(np.array([0.0, 0.0]))
    (array([1.]), array([0.5 , 0.25]))
    """

    def __init__(self, sections: Sequence[Section]) -> None:
        step, enter, leave, through = _system(sections)
        order = len(enter)
        powers = [np.eye(order)]
        for _ in range(BLOCK):
            powers.append(step @ powers[-1])
        self._powers = powers
        self._from_state = np.stack([leave @ power for power in powers[:BLOCK]], axis=1)
        self._to_state = np.stack([power @ enter for power in powers[BLOCK - 1 :: -1]])
        impulse = np.concatenate([[through], enter @ self._from_state[:, :-1]])
        later = np.arange(BLOCK)[None, :] - np.arange(BLOCK)[:, None]
        self._own = np.where(later >= 0, impulse[np.abs(later)], 0.0)
        self._state = np.zeros(order)

    def feed(self, row: np.ndarray) -> np.ndarray:
        """Filter float64 (n,), any n."""
        whole = len(row) // BLOCK
        blocks, rest = row[: whole * BLOCK].reshape(whole, BLOCK), row[whole * BLOCK :]
        pushes, carry = blocks @ self._to_state, self._powers[BLOCK].T
        states = np.empty((whole, len(self._state)))
        state = self._state
        for k in range(whole):
            states[k] = state
            state = state @ carry + pushes[k]
        made = blocks @ self._own + states @ self._from_state
        count = len(rest)
        last = rest @ self._own[:count, :count] + state @ self._from_state[:, :count]
        self._state = self._powers[count] @ state + rest @ self._to_state[BLOCK - count :]
        return np.concatenate([made.reshape(-1), last])


def _system(sections: Sequence[Section]) -> tuple[np.ndarray, np.ndarray, np.ndarray, float]:
    """Matrices of state' = step · state + enter · x, y = leave · state + through · x for all sections in a row."""
    step, enter, leave, through = np.zeros((0, 0)), np.zeros(0), np.zeros(0), 1.0
    for top, bottom in sections:
        order = max(len(top), len(bottom)) - 1
        b, a = np.pad(top, (0, order + 1 - len(top))), np.pad(bottom, (0, order + 1 - len(bottom)))
        own = np.eye(order, k=1)
        own[:, :1] -= a[1:, None]
        own_enter, own_leave = b[1:] - a[1:] * b[0], np.eye(1, order)[0]
        step = np.block([[step, np.zeros((len(enter), order))], [np.outer(own_enter, leave), own]])
        enter = np.concatenate([enter, own_enter * through])
        leave = np.concatenate([b[0] * leave, own_leave])
        through *= float(b[0])
    return step, enter, leave, through
