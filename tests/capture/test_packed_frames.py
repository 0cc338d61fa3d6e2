"""Frames unpacked by numpy: bit for bit what libsndfile, the outside witness, decodes; all containers and places."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import soundfile

from spindlewright.capture.decoder import SoundReader
from spindlewright.capture.packed_frames import PackedFrames
from spindlewright.capture.recording import Recording

RNG = np.random.default_rng(33)


def written(file: Path, subtype: str, channels: int, frames: int = 5001, kind: str = "WAV") -> Path:
    sound = RNG.uniform(-1.0, 1.0, (frames, channels))
    sound[:3] = [[1.0] * channels, [-1.0] * channels, [0.0] * channels]
    soundfile.write(file, sound, 44_100, subtype=subtype, format=kind)
    return file


@pytest.mark.parametrize("kind", ["WAV", "WAVEX", "RF64", "W64"])
@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24"])
@pytest.mark.parametrize("channels", [1, 2, 3])
def test_values_are_those_of_the_decoder(tmp_path: Path, kind: str, subtype: str, channels: int) -> None:
    file = written(tmp_path / "side.wav", subtype, channels, kind=kind)
    known, _ = soundfile.read(file, dtype="float32", always_2d=True)
    wanted = known[:, [0, min(1, channels - 1)]]
    with Recording(file) as recording:
        seen = np.concatenate(list(recording.blocks(frames=777)))
        part = np.concatenate(list(recording.blocks(frames=500, start=1234, stop=4321)))
    assert np.array_equal(seen, wanted)
    assert np.array_equal(part, wanted[1234:4321])


@pytest.mark.skipif(not hasattr(os, "preadv"), reason="this system reads by the decoder alone")
@pytest.mark.parametrize("kind", ["WAV", "W64"])
def test_plain_files_are_read_the_quick_way_and_others_by_the_decoder(tmp_path: Path, kind: str) -> None:
    plain = written(tmp_path / "plain", "PCM_24", 2, kind=kind)
    with Recording(plain) as recording, recording._open_again() as reader:
        assert isinstance(reader._packed, PackedFrames)
    coded = written(tmp_path / "coded", "PCM_24", 2, kind="FLAC")
    with Recording(coded) as recording, recording._open_again() as reader:
        assert reader._packed is None


def test_big_endian_wav_is_left_to_the_decoder(tmp_path: Path) -> None:
    file = tmp_path / "big.wav"
    sound = RNG.uniform(-1.0, 1.0, (4000, 2))
    with soundfile.SoundFile(file, "w", 44_100, 2, "PCM_16", "BIG", "WAV") as out:
        out.write(sound)
    known, _ = soundfile.read(file, dtype="float32")
    with Recording(file) as recording:
        assert np.array_equal(np.concatenate(list(recording.blocks())), known)


def test_a_wrong_place_of_the_data_is_noticed(tmp_path: Path) -> None:
    file = written(tmp_path / "side.wav", "PCM_24", 2)
    with SoundReader(str(file), None, 45) as reader:  # the data of this plain header begin at byte 44
        assert reader._packed is None
        out = np.empty((100, 2), np.float32)
        assert reader.read(out) == 100
    assert np.array_equal(out, soundfile.read(file, frames=100, dtype="float32")[0])
