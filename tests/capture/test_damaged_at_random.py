"""Random damage: cut anywhere, bytes changed anywhere. Every file is measured or refused in one clear line."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odd_files import wav_bytes

from spindlewright.capture.errors import CaptureError
from spindlewright.capture.inspection import Inspection
from spindlewright.capture.recording import Recording
from spindlewright.measure import measure

FORMATS = [
    ("WAV", "PCM_16"), ("WAV", "FLOAT"), ("WAV", "IMA_ADPCM"), ("RF64", "PCM_24"), ("W64", "PCM_24"),
    ("AIFF", "PCM_16"), ("AU", "PCM_16"), ("CAF", "PCM_16"), ("CAF", "ALAC_16"), ("FLAC", "PCM_16"),
    ("OGG", "VORBIS"), ("OGG", "OPUS"),
    ("MP3", "MPEG_LAYER_III"),
]  # fmt: skip
MEASURED = [("WAV", "PCM_16"), ("WAV", "FLOAT"), ("FLAC", "PCM_16"), ("OGG", "VORBIS")]
DAMAGE = st.lists(st.tuples(st.floats(0, 1), st.integers(1, 255)), max_size=8)
HEADER_DAMAGE = st.lists(st.tuples(st.integers(0, 120), st.integers(1, 255)), max_size=3)
gentle = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])


def damaged(data: bytes, keep: float, inside: list[tuple[float, int]], header: list[tuple[int, int]]) -> bytes:
    changed = bytearray(data[: max(1, round(keep * len(data)))])
    places = [(int(share * (len(changed) - 1)), mask) for share, mask in inside]
    for place, mask in [*places, *header]:
        if place < len(changed):
            changed[place] ^= mask
    return bytes(changed)


def look(path: Path) -> None:
    with Recording(path) as recording:
        info = recording.info
        inspection = Inspection(info.sample_rate_hz, info.channels, info.bits)
        for block in recording.blocks():
            assert np.isfinite(block).all()
            inspection.feed(block)
        for item in (*recording.fitness(), *inspection.result().fitness):
            assert item.message.isprintable()
        recording.sha256()


def survives(path: Path, look_at: Callable[[Path], object]) -> None:
    threads = threading.active_count()
    refusal = ""
    try:
        look_at(path)
    except CaptureError as problem:
        refusal = str(problem)
    assert refusal == "" or (path.name in refusal and refusal.isprintable())
    assert threading.active_count() == threads


@pytest.mark.parametrize(("kind", "subtype"), FORMATS)
@given(keep=st.floats(0, 1), inside=DAMAGE, header=HEADER_DAMAGE)
@settings(gentle, max_examples=12)
def test_recording_survives(
    tmp_path: Path,
    kind: str,
    subtype: str,
    keep: float,
    inside: list[tuple[float, int]],
    header: list[tuple[int, int]],
) -> None:
    path = tmp_path / "side"
    path.write_bytes(damaged(wav_bytes(subtype, kind), keep, inside, header))
    survives(path, look)


@pytest.mark.parametrize(("kind", "subtype"), MEASURED)
@given(keep=st.floats(0.3, 1), inside=DAMAGE, header=HEADER_DAMAGE)
@settings(gentle, max_examples=8)
def test_measurement_survives(
    tmp_path: Path,
    kind: str,
    subtype: str,
    keep: float,
    inside: list[tuple[float, int]],
    header: list[tuple[int, int]],
) -> None:
    path = tmp_path / "side"
    path.write_bytes(damaged(wav_bytes(subtype, kind), keep, inside, header))
    survives(path, measure)
