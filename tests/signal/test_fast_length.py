"""Quick transform lengths, against scipy's own search."""

from __future__ import annotations

import scipy.fft

from spindlewright.signal.fast_length import fast_length


def test_the_same_lengths_as_the_library_finds() -> None:
    for least in [*range(1, 3000), 44_099, 96_001, 385_001]:
        assert fast_length(least) == scipy.fft.next_fast_len(least, real=True)
