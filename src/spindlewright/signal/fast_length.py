"""Lengths for which a Fourier transform is quick."""

from __future__ import annotations


def fast_length(least: int) -> int:
    """The smallest length from ``least`` on that has no factor but 2, 3 and 5. (Computed here because loading a signal
    library for it would take longer than measuring a short recording.)

    >>> fast_length(497), fast_length(512)
    (500, 512)
    """
    length = max(1, least)
    while _rest(length) != 1:
        length += 1
    return length


def _rest(length: int) -> int:
    for factor in (2, 3, 5):
        while length % factor == 0:
            length //= factor
    return length
