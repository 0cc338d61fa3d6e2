"""About a hundred odd and broken files: each opens and is told about, or is refused in one clear line."""

from __future__ import annotations

import os
import resource
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from odd_files import ODD_FILES, OddFile

from spindlewright.capture.errors import CaptureError
from spindlewright.capture.fitness_codes import FITNESS_CODES
from spindlewright.capture.inspection import Inspection
from spindlewright.capture.recording import Recording

MOST_MEMORY_KIB = 1 << 20


@pytest.fixture(autouse=True)
def _leaves_no_litter(tmp_path: Path) -> Iterator[None]:
    threads, descriptors = threading.active_count(), len(os.listdir("/proc/self/fd"))
    yield
    assert threading.active_count() == threads, "a thread was left behind"
    assert len(os.listdir("/proc/self/fd")) <= descriptors + 1, "an open file was left behind"
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < MOST_MEMORY_KIB


def everything_told(path: Path) -> tuple[set[str], list[str]]:
    """Codes and messages of a whole pass over the file."""
    with Recording(path) as recording:
        info = recording.info
        inspection = Inspection(info.sample_rate_hz, info.channels, info.bits)
        frames = 0
        for block in recording.blocks():
            assert block.dtype.name == "float32"
            assert block.shape[1] == 2
            inspection.feed(block)
            frames += len(block)
        items = (*recording.fitness(), *inspection.result().fitness)
        remarks = recording.remarks()
        assert len(recording.sha256()) == 64
    assert 0 < frames <= info.frames
    for item in items:
        assert item.code in FITNESS_CODES
    return {*(item.code for item in items), *(r.code for r in remarks)}, [
        entry.message for entry in (*items, *remarks)
    ]


@pytest.mark.parametrize("odd", ODD_FILES, ids=lambda odd: odd.name)
def test_odd_file(odd: OddFile, tmp_path: Path) -> None:
    path = odd.make(tmp_path)
    before = {name: os.lstat(os.path.join(tmp_path, name)) for name in os.listdir(tmp_path)}
    if odd.refused is None:
        codes, messages = everything_told(path)
        assert codes == odd.told
        for message in messages:
            assert_is_one_clear_line(message)
    else:
        with pytest.raises(CaptureError) as refusal:
            Recording(path)
        line = str(refusal.value)
        assert odd.refused in line
        assert path.name in line
        assert refusal.value.__cause__ is None
        assert_is_one_clear_line(line)
    after = {name: os.lstat(os.path.join(tmp_path, name)) for name in os.listdir(tmp_path)}
    assert before.keys() == after.keys(), "a file was left or taken away"
    for name, state in before.items():
        assert (state.st_mtime_ns, state.st_size) == (after[name].st_mtime_ns, after[name].st_size)


def assert_is_one_clear_line(line: str) -> None:
    assert line.isprintable(), "one line, nothing hidden in it"
    assert line.endswith("."), "a sentence"
    assert 30 < len(line) < 900
    for word in ("Traceback", "Exception", "None", "nan", "inf "):
        assert word not in line


def test_there_are_many() -> None:
    assert len(ODD_FILES) >= 75
    assert len({odd.name for odd in ODD_FILES}) == len(ODD_FILES)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs POSIX permissions")
def test_no_permission(tmp_path: Path) -> None:
    path = tmp_path / "locked.wav"
    path.write_bytes(b"RIFF" + bytes(1000))
    path.chmod(0)
    is_root = os.geteuid() == 0
    for folder in (tmp_path, *tmp_path.parents):
        if is_root and folder.stat().st_uid == 0 and "pytest" in str(folder):
            folder.chmod(0o755)
    if is_root:
        os.seteuid(65534)
    try:
        with pytest.raises(CaptureError, match=r"locked\.wav: no permission to read"):
            Recording(path)
    finally:
        if is_root:
            os.seteuid(0)


def test_name_with_a_zero_byte() -> None:
    with pytest.raises(CaptureError, match="cannot be used"):
        Recording("side\0a.wav")


def test_name_dash_is_a_file_and_not_standard_input(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(CaptureError, match="-: there is no such file"):
        Recording("-")
