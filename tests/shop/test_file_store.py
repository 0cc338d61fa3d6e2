"""The file store: by content, whole or not at all. Witness for names: hashlib and FIPS 180-2's own example."""

from __future__ import annotations

import hashlib
import io
import os
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spindlewright.shop.errors import NotAccepted, NotFound, ShopError
from spindlewright.shop.file_store import LEFT_BEHIND_S, FileStore

ABC_SHA256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
"""SHA-256 of "abc" (FIPS 180-2, appendix B.1)."""


@pytest.fixture
def store(tmp_path: Path) -> FileStore:
    return FileStore(tmp_path / "files")


def files_in(store: FileStore) -> list[Path]:
    return [path for path in store.folder.rglob("*") if path.is_file()]


def test_a_file_is_named_by_its_content(store: FileStore) -> None:
    stored = store.put(io.BytesIO(b"abc"))
    assert stored.sha256 == ABC_SHA256
    assert stored.size_bytes == 3
    assert store.path_of(ABC_SHA256).read_bytes() == b"abc"


def test_the_same_content_is_kept_once(store: FileStore) -> None:
    store.put(io.BytesIO(b"abc"))
    store.put(io.BytesIO(b"abc"))
    assert len(files_in(store)) == 1


@settings(max_examples=40, deadline=None)
@given(content=st.binary(min_size=1, max_size=5000))
def test_what_goes_in_comes_out(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    store = FileStore(tmp_path_factory.getbasetemp() / "any")
    stored = store.put(io.BytesIO(content))
    assert stored.path.read_bytes() == content
    assert stored.sha256 == hashlib.sha256(content).hexdigest()


def test_too_long_and_empty_files_leave_nothing(store: FileStore) -> None:
    with pytest.raises(NotAccepted, match="more than 2e-06 MB"):
        store.put(io.BytesIO(b"abc"), limit_bytes=2)
    with pytest.raises(NotAccepted, match="no bytes"):
        store.put(io.BytesIO(b""))
    assert files_in(store) == []


def test_a_stream_that_breaks_off_leaves_nothing(store: FileStore) -> None:
    class Breaks(io.RawIOBase):
        def read(self, size: int = -1) -> bytes:
            raise OSError(28, "No space left on device")

    with pytest.raises(ShopError, match=r"No space left on device. Make room on the disk"):
        store.put(Breaks())  # type: ignore[arg-type]
    assert files_in(store) == []


def test_a_file_that_is_not_there_is_named(store: FileStore) -> None:
    with pytest.raises(NotFound, match="ba7816bf8f01"):
        store.path_of(ABC_SHA256)


def test_what_a_stopped_program_left_is_swept_after_a_day_only(store: FileStore) -> None:
    old, new = store.folder / "incoming" / "old", store.folder / "incoming" / "new"
    for path in (old, new):
        path.write_bytes(b"half")
    yesterday = time.time() - LEFT_BEHIND_S - 60
    os.utime(old, (yesterday, yesterday))
    FileStore(store.folder)
    assert not old.exists()
    assert new.exists()
