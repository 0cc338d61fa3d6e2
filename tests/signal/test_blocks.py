"""The rebuffer hands on the same chunks whatever the size of the blocks that come in."""

import numpy as np
import pytest

from spindlewright.signal.blocks import Rebuffer


@pytest.mark.parametrize("size", [1, 7, 64, 100, 1000])
def test_chunks_do_not_depend_on_block_size(size: int) -> None:
    sound = np.arange(2 * 1000, dtype=np.float32).reshape(-1, 2)
    buffer = Rebuffer(64, 2)
    chunks = [chunk.copy() for k in range(0, 1000, size) for chunk in buffer.feed(sound[k : k + size])]
    assert len(chunks) == 1000 // 64
    np.testing.assert_array_equal(np.concatenate([*chunks, buffer.rest()]), sound)
    assert all(len(chunk) == 64 for chunk in chunks)
