"""The size of the blocks a recording comes in changes no reading by more than 1e-9 of its value.

Every stage is fed the same samples cut in other ways: inspection, survey and listener, hence bands, fitness, readings.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
from made_side import SHORT, SHORTEST, Plan, made_side

from spindlewright.capture.recording import Recording
from spindlewright.measure import measure
from spindlewright.measurement import Measurement

RATE_HZ = 8000


def measured_in_blocks(path: Path, frames: int | None, monkeypatch: pytest.MonkeyPatch) -> Measurement:
    whole = Recording.blocks

    def cut(self: Recording, *args: int, **options: int) -> Iterator[np.ndarray]:
        for block in whole(self, *args, **options):
            for first in range(0, len(block), frames or len(block)):
                yield block[first : first + (frames or len(block))]

    with monkeypatch.context() as patched:
        patched.setattr(Recording, "blocks", cut)
        return measure(path, curves=True)


def write(tmp_path: Path, plan: Plan) -> Path:
    path = tmp_path / "side.wav"
    soundfile.write(path, made_side(RATE_HZ, plan).astype(np.float32), RATE_HZ, subtype="FLOAT")
    return path


@pytest.mark.parametrize(("frames", "plan"), [(1, SHORTEST), (64, SHORT), (127, SHORT), (128, SHORT), (129, SHORT)])
def test_small_blocks_change_nothing(frames: int, plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, plan)
    whole, cut = (measured_in_blocks(path, size, monkeypatch) for size in (None, frames))
    assert_same(whole, cut)


def test_blocks_of_65536_change_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, SHORT)
    odd, large = (measured_in_blocks(path, size, monkeypatch) for size in (997, 65536))
    assert_same(odd, large)


def assert_same(one: Measurement, other: Measurement) -> None:
    assert len(one.readings) > 20
    assert [(r.quantity, r.channel, r.band) for r in one.readings] == [
        (r.quantity, r.channel, r.band) for r in other.readings
    ]
    for a, b in zip(one.readings, other.readings, strict=True):
        assert b.value == pytest.approx(a.value, rel=1e-9, abs=0.0), a.quantity
        assert b.uncertainty == pytest.approx(a.uncertainty, rel=1e-9, abs=0.0), a.quantity
        assert b.verdict == a.verdict
    assert other.bands == one.bands
    assert other.fitness == one.fitness
    assert other.findings == one.findings
    assert one.curves
    for curve, same in zip(one.curves or (), other.curves or (), strict=True):
        np.testing.assert_allclose(same.y, curve.y, rtol=1e-9, atol=1e-12, err_msg=curve.name)
