"""The same samples whatever the block size, for the same seed; bounded memory; plain truth."""

from __future__ import annotations

import json
import tracemalloc
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spindlewright.simulate import Spec, frames, render, render_blocks, truth_of
from spindlewright.simulate.decks import deck_names, deck_spec
from spindlewright.simulate.spec import (
    Cartridge,
    CutBand,
    Deck,
    Disc,
    Electrical,
    Hum,
    HumLine,
    Line,
    RandomFlutter,
    Recorder,
    Rumble,
    Take,
)

BUSY = Spec(
    deck=Deck(
        speed_error_percent=0.3,
        lines=(Line(peak_percent=0.1, part="belt"),),
        random_flutter=RandomFlutter(rms_percent=0.05, low_hz=1.0),
        rumble=Rumble(lateral_db=-40.0, vertical_db=-40.0),
    ),
    disc=Disc(eccentricity_mm=0.2, warp_mm=0.3, surface_noise_db=-60.0, ticks_per_minute=120.0, pitch_mm=0.1),
    cartridge=Cartridge(azimuth_deg=2.0, crosstalk_quadrature_db=-50.0, electrical=Electrical()),
    hum=Hum(lines=(HumLine(order=1, left_dbfs=-60.0),)),
    recorder=Recorder(rate_hz=16_000, bits=16),
    take=Take(lifted_before_s=0.2, lead_in_s=0.3, needle_drop_db=0.0),
    bands=(
        CutBand(kind="tone", seconds=2.5, gap_s=0.3),
        CutBand(kind="noise", seconds=1.0),
        CutBand(kind="run_out", seconds=2.5, gap_s=0.5, radius_mm=55.0, scratches_per_turn=1),
    ),
    seed=7,
)
WHOLE = render(BUSY).samples


@settings(max_examples=8, deadline=None)
@given(block=st.one_of(st.sampled_from([63, 64, 127, 128, 129, 65_536]), st.integers(50, 300_000)))
def test_block_size_changes_nothing(block: int) -> None:
    """Every block but the last has the size asked for, and joined they are the whole side, bit by bit."""
    blocks = list(render_blocks(BUSY, block))
    assert {len(b) for b in blocks[:-1]} <= {block}
    np.testing.assert_array_equal(np.concatenate(blocks), WHOLE)
    assert len(WHOLE) == frames(BUSY)


def test_one_sample_at_a_time() -> None:
    """Blocks of a single sample: the first thousand."""
    blocks = render_blocks(BUSY, 1)
    np.testing.assert_array_equal(np.concatenate([next(blocks) for _ in range(1000)]), WHOLE[:1000])


def test_blocks_must_hold_something() -> None:
    with pytest.raises(ValueError, match="block = 0: must be at least 1 sample"):
        next(render_blocks(BUSY, 0))


def test_the_seed_decides() -> None:
    """Same seed, same samples; another seed, other ticks and other noise but the same length."""
    np.testing.assert_array_equal(render(BUSY).samples, WHOLE)
    other = replace(BUSY, seed=8)
    assert not np.array_equal(render(other).samples, WHOLE)
    assert truth_of(other).tick_times_s != truth_of(BUSY).tick_times_s


def test_effects_have_streams_of_their_own() -> None:
    """Taking the rumble away leaves the converter's noise and the ticks as they were."""
    quiet = Spec(recorder=Recorder(rate_hz=16_000, bits="float"), bands=(CutBand(kind="silence", seconds=2.0),))
    rumbling = replace(quiet, deck=Deck(rumble=Rumble(lateral_db=-60.0)))
    a, b = render(quiet).samples, render(rumbling).samples
    np.testing.assert_array_equal(a[:15_000], b[:15_000])
    assert not np.array_equal(a[20_000:40_000], b[20_000:40_000])


def test_memory_does_not_grow_with_length() -> None:
    """Peak of what Python and numpy hold while 20 s and 80 s pass by."""

    def peak(seconds: float) -> int:
        spec = replace(BUSY, bands=(CutBand(kind="tone", seconds=seconds, gap_s=0.3),))
        tracemalloc.start()
        for _ in render_blocks(spec):
            pass
        used = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return used

    peak(20.0)
    assert peak(80.0) < 1.1 * peak(20.0)


def test_truth_is_plain_json() -> None:
    """The whole truth goes through JSON and comes back; no value is a numpy one."""
    back = json.loads(json.dumps(truth_of(BUSY).to_dict(), allow_nan=False))
    assert back["bands"][0]["kind"] == "tone"
    assert back["spec"]["disc"]["eccentricity_mm"] == 0.2


@pytest.mark.parametrize("name", deck_names())
def test_decks_that_come_along(name: str) -> None:
    """They load, last between one and ten minutes, and do not clip."""
    spec = deck_spec(name)
    assert 60.0 < truth_of(spec).duration_s < 600.0
    short = replace(spec, recorder=Recorder(rate_hz=8_000))
    assert max(float(np.max(np.abs(b))) for b in render_blocks(short)) < 0.9


def test_no_deck_of_that_name() -> None:
    with pytest.raises(ValueError, match="there is none of that name; there are library_listening_room"):
        deck_spec("cellar")
