"""Opening, streaming and hashing one recording."""

from __future__ import annotations

import gc
import hashlib
import os
import threading
import time
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
import soundfile
from made_sounds import quantised, tone
from odd_files import wav_bytes, write

from spindlewright.capture.errors import CaptureError
from spindlewright.capture.inspection import Inspection
from spindlewright.capture.recording import Recording


@pytest.fixture
def side(tmp_path: Path) -> Path:
    return write(tmp_path / "side.wav", tone(48000, 5))


def whole(path: Path) -> np.ndarray:
    """Witness: the same file read whole by the library itself."""
    return soundfile.read(path, dtype="float32", always_2d=True)[0]


@pytest.mark.parametrize("frames", [1000, 32768, 65536, 10**7])
def test_blocks_hold_the_samples_in_order(side: Path, frames: int) -> None:
    with Recording(side) as recording:
        blocks = list(recording.blocks(frames))
    assert all(len(block) == frames for block in blocks[:-1])
    assert np.array_equal(np.concatenate(blocks), whole(side)), "kept blocks are not written over"


@pytest.mark.parametrize(
    ("start", "stop"), [(0, 1), (17, 60_000), (100_000, 100_001), (239_999, 240_000), (7, None), (5, 5)]
)
def test_a_stretch(side: Path, start: int, stop: int | None) -> None:
    with Recording(side) as recording:
        blocks = list(recording.blocks(4096, start, stop))
    found = np.concatenate(blocks) if blocks else np.empty((0, 2), np.float32)
    assert np.array_equal(found, whole(side)[start:stop])


@pytest.mark.parametrize(
    ("kind", "subtype"),
    [
        ("FLAC", "PCM_24"),
        ("OGG", "VORBIS"),
        ("OGG", "OPUS"),
        ("MP3", "MPEG_LAYER_III"),
        ("CAF", "ALAC_24"),
        ("AIFF", "PCM_16"),
        ("WAV", "IMA_ADPCM"),
    ],
)
def test_a_stretch_of_a_coded_file_is_the_same_sound(tmp_path: Path, kind: str, subtype: str) -> None:
    path = write(tmp_path / "side", tone(48000, 5), 48000, subtype, kind)
    reference = whole(path)
    with Recording(path) as recording:
        for start in (1, 50_001, 123_456):
            found = np.concatenate(list(recording.blocks(4096, start, start + 20_000)))
            assert np.abs(found - reference[start : start + 20_000]).max() <= 1e-6


def test_info(side: Path) -> None:
    with Recording(side) as recording:
        info = recording.info
    assert (info.file, info.sample_rate_hz, info.channels, info.frames) == (str(side), 48000, 2, 240_000)
    assert (info.bits, info.format, info.subtype, info.declared_frames) == (24, "WAV", "PCM_24", 240_000)
    assert info.duration_s == 5.0


@pytest.mark.parametrize(
    ("kind", "subtype", "bits"),
    [
        ("WAV", "PCM_U8", 8), ("AIFF", "PCM_S8", 8), ("WAV", "PCM_16", 16), ("FLAC", "PCM_24", 24),
        ("WAV", "PCM_32", 32),
        ("WAV", "FLOAT", 32), ("WAV", "DOUBLE", 64), ("CAF", "ALAC_20", 20), ("WAV", "ULAW", None),
        ("OGG", "VORBIS", None),
        ("MP3", "MPEG_LAYER_III", None), ("WAV", "MS_ADPCM", None),
    ],
)  # fmt: skip
def test_word_length(tmp_path: Path, kind: str, subtype: str, bits: int | None) -> None:
    with Recording(write(tmp_path / "side", tone(48000, 0.2), 48000, subtype, kind)) as recording:
        assert recording.info.bits == bits


@pytest.mark.parametrize(
    ("kind", "subtype"),
    [
        ("WAV", "PCM_16"),
        ("RF64", "PCM_24"),
        ("W64", "PCM_16"),
        ("AIFF", "PCM_24"),
        ("AU", "PCM_16"),
        ("CAF", "PCM_24"),
        ("OGG", "VORBIS"),
        ("OGG", "OPUS"),
    ],
)
def test_declared_length_is_read_from_every_header(tmp_path: Path, kind: str, subtype: str) -> None:
    with Recording(write(tmp_path / "side", tone(48000, 3), 48000, subtype, kind)) as recording:
        assert recording.info.declared_frames == pytest.approx(144_000, abs=0 if subtype != "OPUS" else 1000)


def test_one_channel_comes_as_two_equal_columns(tmp_path: Path) -> None:
    sound = tone(48000, 1)[:, 0]
    path = write(tmp_path / "mono.wav", sound)
    with Recording(path) as recording:
        block = np.concatenate(list(recording.blocks()))
        assert recording.info.channels == 1
    assert np.array_equal(block[:, 0], block[:, 1])
    assert np.array_equal(block[:, 0], whole(path)[:, 0])


def test_of_many_channels_the_first_two_are_used_and_said(tmp_path: Path) -> None:
    sound = np.concatenate([tone(48000, 1), 0.1 * tone(48000, 1, 300)], axis=1)
    path = write(tmp_path / "four.wav", sound)
    with Recording(path) as recording:
        assert np.array_equal(np.concatenate(list(recording.blocks())), whole(path)[:, :2])
        (remark,) = recording.remarks()
    assert remark.code == "channels_left_out"
    assert "4 channels" in remark.message


def test_full_scale_is_one(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", quantised(tone(48000, 1, peak=2.0), 16), 48000, "PCM_16")
    with Recording(path) as recording:
        block = np.concatenate(list(recording.blocks()))
    assert block.max() == 32767 / 32768
    assert block.min() == -1.0


def test_float_samples_over_one_are_kept(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", tone(48000, 1, peak=3.0), 48000, "FLOAT")
    with Recording(path) as recording:
        assert np.concatenate(list(recording.blocks())).max() > 2.9


def test_samples_that_are_no_numbers_become_silence_and_are_counted_once(tmp_path: Path) -> None:
    sound = tone(48000, 3)
    sound[48_000, 0], sound[100_000:100_003, 1] = np.nan, np.inf
    path = write(tmp_path / "a.wav", sound, 48000, "FLOAT")
    with Recording(path) as recording:
        for _ in range(2):
            block = np.concatenate(list(recording.blocks(7000)))
            assert np.isfinite(block).all()
            assert block[48_000, 0] == 0.0
            assert (block[100_000:100_003, 1] == 0.0).all()
        assert np.isfinite(np.concatenate(list(recording.blocks(7000, 40_000, 60_000)))).all()
        (item,) = recording.fitness()
    assert (item.code, item.severity) == ("not_finite", "warn")
    assert item.evidence["count"] == {"left": 1, "right": 3}
    assert item.evidence["times_s"] == pytest.approx([1.0, *(n / 48000 for n in (100_000, 100_001, 100_002))])
    assert "4 samples" in item.message


# ---- hash -------------------------------------------------------------------------------------------------------


def test_hash_is_that_of_the_bytes(side: Path) -> None:
    expected = hashlib.sha256(side.read_bytes()).hexdigest()
    with Recording(side) as recording:
        for _ in recording.blocks():
            pass
        assert recording.sha256() == expected
        assert recording.sha256() == expected
    with Recording(side) as recording:
        assert recording.sha256() == expected, "without any block having been asked for"


def test_hashing_goes_on_beside_the_blocks(side: Path) -> None:
    with Recording(side) as recording:
        blocks = recording.blocks(1000)
        next(blocks)
        deadline = time.monotonic() + 5
        while recording._hash is not None and recording._hash._thread.is_alive():
            assert time.monotonic() < deadline, "the hash waits for the decoder"
            time.sleep(0.01)
        assert recording._hash is not None


# ---- several readers, leaving early, litter -----------------------------------------------------------------------


def test_several_readers_at_once_do_not_disturb_each_other(side: Path) -> None:
    reference = whole(side)

    def read(start: int) -> bool:
        found = np.concatenate(list(recording.blocks(1000, start, start + 100_000)))
        return np.array_equal(found, reference[start : start + 100_000])

    with Recording(side) as recording, ThreadPoolExecutor(4) as pool:
        assert all(pool.map(read, range(0, 100_000, 5000)))


def test_leaving_early_leaves_nothing(side: Path) -> None:
    gc.collect()
    threads, descriptors = threading.active_count(), len(os.listdir("/proc/self/fd"))
    with Recording(side) as recording:
        for _ in recording.blocks(100):
            break
        for _ in recording.blocks(100, 1000, 200_000):
            break
        kept = recording.blocks(100)
        next(kept)
    assert threading.active_count() == threads
    assert list(kept) == [], "a closed recording gives no more blocks"
    assert len(os.listdir("/proc/self/fd")) == descriptors
    recording.close()
    with pytest.raises(ValueError, match="closed"):
        next(recording.blocks())


def test_an_error_in_the_loop_leaves_nothing(side: Path) -> None:
    threads = threading.active_count()

    def stumble() -> None:
        with Recording(side) as recording:
            for _ in recording.blocks(100):
                raise RuntimeError("mine")

    with pytest.raises(RuntimeError, match="mine"):
        stumble()
    assert threading.active_count() == threads


@pytest.mark.parametrize("wrong", [{"frames": 0}, {"frames": -5}, {"start": -1}, {"stop": -1}])
def test_impossible_stretches(side: Path, wrong: dict[str, int]) -> None:
    with Recording(side) as recording, pytest.raises(ValueError, match=r"is needed|none is below 0"):
        recording.blocks(**wrong)


def test_absurd_block_sizes(side: Path) -> None:
    with Recording(side) as recording:
        assert sum(len(block) for block in recording.blocks(1, 0, 300)) == 300
        assert sum(len(block) for block in recording.blocks(2**62)) == 240_000


def test_buffers_are_used_again_and_memory_does_not_grow(tmp_path: Path) -> None:
    path = write(tmp_path / "long.wav", np.tile(tone(48000, 5), (12, 1)), 48000, "PCM_16")
    with Recording(path) as recording:
        tracemalloc.start()
        for block in recording.blocks():
            assert len(block)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert peak < 8 << 20, "one minute is 23 MB as float32"


# ---- damage and change --------------------------------------------------------------------------------------------


def test_cut_file_says_how_much_is_missing(tmp_path: Path) -> None:
    data = write(tmp_path / "a.wav", tone(48000, 4)).read_bytes()
    cut = tmp_path / "cut.wav"
    cut.write_bytes(data[: 44 + 48000 * 6])
    with Recording(cut) as recording:
        assert sum(len(block) for block in recording.blocks()) == 48000
        (item,) = recording.fitness()
    assert item.code == "truncated"
    assert item.evidence["read_s"] == pytest.approx(1.0, abs=0.01)
    assert item.evidence["promised_s"] == pytest.approx(4.0, abs=0.01)


def test_damaged_flac_gives_all_sound_before_and_behind_the_damage(tmp_path: Path) -> None:
    path = write(tmp_path / "a.flac", tone(48000, 10), 48000, "PCM_16", "FLAC")
    reference = whole(path)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0x55
    path.write_bytes(data)
    with Recording(path) as recording:
        found = np.concatenate(list(recording.blocks()))
        (item,) = recording.fitness()
    assert len(found) == len(reference), "what follows keeps its time"
    (hole,) = item.evidence["intervals_s"]
    first, last = round(hole[0] * 48000), round(hole[1] * 48000)
    assert last - first < 12_000
    assert np.array_equal(found[:first], reference[:first])
    assert np.array_equal(found[last:], reference[last:])
    assert not found[first:last].any()


def test_unfinished_wav_is_read_to_its_end(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", tone(48000, 3), 48000, "PCM_16")
    reference = whole(path)
    data = bytearray(path.read_bytes())
    data[40:44] = bytes(4)
    path.write_bytes(data)
    with Recording(path) as recording:
        assert np.array_equal(np.concatenate(list(recording.blocks())), reference)
        assert recording.info.declared_frames is None
        assert [item.code for item in recording.fitness()] == ["truncated"]
        assert recording.sha256() == hashlib.sha256(data).hexdigest(), "the file is not mended, only read"


def test_file_changed_while_it_is_read(side: Path) -> None:
    with Recording(side) as recording:
        blocks = recording.blocks(1000)
        next(blocks)
        with open(side, "ab") as file:
            file.write(b"more")
        for _ in blocks:
            pass
        assert ["changed while" in item.message for item in recording.fitness()] == [True]


def test_file_replaced_or_taken_away_while_it_is_measured(side: Path) -> None:
    with Recording(side) as recording:
        for _ in recording.blocks():
            pass
        side.rename(side.with_suffix(".old"))
        with pytest.raises(CaptureError, match=r"side\.wav: the file can no longer be read"):
            next(recording.blocks())
        side.write_bytes(wav_bytes())
        with pytest.raises(CaptureError, match=r"side\.wav: the file was replaced"):
            next(recording.blocks())


def test_file_that_shrinks_while_it_is_read(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", np.tile(tone(48000, 5), (4, 1)))
    with Recording(path) as recording:
        blocks = recording.blocks(1000)
        next(blocks)
        os.truncate(path, 50_000)
        assert sum(len(block) for block in blocks) < 480_000
        assert {item.code for item in recording.fitness()} == {"truncated"}


def test_only_two_hours_are_measured(tmp_path: Path) -> None:
    path = tmp_path / "night.wav"
    frames = 8000 * 3600 * 3
    header = bytearray(wav_bytes("PCM_U8", "WAV", 8000)[:44])
    header[4:8], header[40:44] = (2 * frames + 36).to_bytes(4, "little"), (2 * frames).to_bytes(4, "little")
    with open(path, "wb") as file:
        file.write(header)
        file.truncate(44 + 2 * frames)
    with Recording(path) as recording:
        assert sum(len(block) for block in recording.blocks(1 << 18)) == 2 * 3600 * 8000
        (item,) = recording.fitness()
    assert item.code == "truncated"
    assert "3.0 hours" in item.message


@pytest.mark.slow
def test_sparse_2_gib_recording_in_bounded_time_and_memory(tmp_path: Path) -> None:
    """All zeros behind a good header: 24 bits, 192 kHz, half an hour."""
    path = tmp_path / "sparse.wav"
    size = 2 << 30
    header = bytearray(wav_bytes("PCM_24", "WAV", 192000)[:44])
    header[4:8], header[40:44] = (size - 8).to_bytes(4, "little"), (size - 44).to_bytes(4, "little")
    with open(path, "wb") as file:
        file.write(header)
        file.truncate(size)
    began = time.process_time()
    with Recording(path) as recording:
        inspection = Inspection(192000, 2, 24)
        for block in recording.blocks():
            inspection.feed(block)
        assert len(recording.sha256()) == 64
        assert recording.fitness() == ()
    assert [item.code for item in inspection.result().fitness] == ["too_quiet"]
    assert time.process_time() - began < 60.0


def test_decoder_writes_nothing_of_its_own(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    data = bytearray(wav_bytes("MPEG_LAYER_III", "MP3"))
    data[len(data) // 2 : len(data) // 2 + 6000] = bytes(6000)
    path = tmp_path / "hole.mp3"
    path.write_bytes(data)
    with Recording(path) as recording:
        for _ in recording.blocks():
            pass
    assert capfd.readouterr() == ("", "")
