"""The watched folder: taken in once quiet for 2 s, the original left where it is."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench_day import answer_all, arrived, at_before, tone_wav

from spindlewright.shop.errors import NotAccepted
from spindlewright.shop.recordings import captures_of
from spindlewright.shop.store import Shop
from spindlewright.shop.views.recordings import CaptureOptions, CaptureView
from spindlewright.shop.watched_folder import QUIET_S, FolderWatcher, join_folder, leave_folder, watched


class Seconds:
    """A clock in seconds that the test moves."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    path = tmp_path / "recorder"
    path.mkdir()
    return path


@pytest.fixture
def seconds() -> Seconds:
    return Seconds()


def test_a_file_is_taken_once_it_is_quiet_and_stays(shop: Shop, folder: Path, seconds: Seconds) -> None:
    number = at_before(shop)
    (folder / "yesterday.wav").write_bytes(tone_wav(serial=9))
    join_folder(shop, folder, number, "before", CaptureOptions(rpm=45.0))
    told: list[CaptureView] = []
    watcher = FolderWatcher(shop, told.append, seconds)
    assert watcher.look() == ()
    file = folder / "take 1.WAV"
    file.write_bytes(tone_wav()[:1000])
    assert watcher.look() == (), "just begun"
    seconds.now_s += QUIET_S - 0.1
    file.write_bytes(tone_wav())
    assert watcher.look() == (), "still growing"
    seconds.now_s += QUIET_S - 0.1
    assert watcher.look() == ()
    seconds.now_s += 0.1
    (view,) = watcher.look()
    assert (view.file_name, view.stage, view.options.rpm) == ("take 1.WAV", "before", 45.0)
    assert shop.files.path_of(view.sha256).read_bytes() == tone_wav()
    assert file.read_bytes() == tone_wav()
    assert told == [view]
    seconds.now_s += 100.0
    assert watcher.look() == (), "never twice"
    assert len(captures_of(shop, number)) == 1
    state = watcher.state()
    assert state is not None
    assert state.remarks == ("take 1.WAV: taken in.",)


def test_it_survives_a_restart(open_shop: object, folder: Path, seconds: Seconds) -> None:
    shop: Shop = open_shop()  # type: ignore[operator]
    number = at_before(shop)
    join_folder(shop, folder, number, "before")
    (folder / "while off.wav").write_bytes(tone_wav())
    again: Shop = open_shop()  # type: ignore[operator]
    watcher = FolderWatcher(again, clock_s=seconds)
    watcher.look()
    seconds.now_s += QUIET_S
    assert [view.file_name for view in watcher.look()] == ["while off.wav"]
    third = FolderWatcher(again, clock_s=seconds)
    third.look()
    seconds.now_s += QUIET_S
    assert third.look() == (), "what was taken in is remembered"


def test_what_a_gate_closes_is_said_and_not_taken(shop: Shop, folder: Path, seconds: Seconds) -> None:
    number = arrived(shop)
    answer_all(shop, number, {"tip": "no"})
    join_folder(shop, folder, number, "before")
    watcher = FolderWatcher(shop, clock_s=seconds)
    (folder / "a.wav").write_bytes(tone_wav())
    watcher.look()
    seconds.now_s += QUIET_S
    assert watcher.look() == ()
    state = watcher.state()
    assert state is not None
    assert state.remarks[0].startswith("a.wav: not taken in. Recordings are not open: the deck is not fit to play")
    assert (folder / "a.wav").exists()


def test_other_files_hidden_and_empty_ones_are_left_alone(sqlite_shop: Shop, folder: Path, seconds: Seconds) -> None:
    number = at_before(sqlite_shop)
    join_folder(sqlite_shop, folder, number, "before")
    watcher = FolderWatcher(sqlite_shop, clock_s=seconds)
    for name, content in (("notes.txt", b"x"), (".hidden.wav", b"x"), ("empty.wav", b"")):
        (folder / name).write_bytes(content)
    (folder / "sub.wav").mkdir()
    watcher.look()
    seconds.now_s += QUIET_S
    assert watcher.look() == ()


def test_joined_anew_and_left(sqlite_shop: Shop, folder: Path) -> None:
    number = at_before(sqlite_shop)
    assert watched(sqlite_shop) is None
    join_folder(sqlite_shop, folder, number, "before")
    view = join_folder(sqlite_shop, folder, number, "after")
    assert (view.folder, view.job_number, view.stage) == (str(folder), number, "after")
    leave_folder(sqlite_shop)
    leave_folder(sqlite_shop)
    assert watched(sqlite_shop) is None


def test_folders_that_cannot_be(sqlite_shop: Shop, tmp_path: Path) -> None:
    number = at_before(sqlite_shop)
    with pytest.raises(NotAccepted, match="a folder that is there"):
        join_folder(sqlite_shop, tmp_path / "none", number, "before")
    with pytest.raises(NotAccepted, match="the shop's own data"):
        join_folder(sqlite_shop, sqlite_shop.folder / "files", number, "before")


def test_it_looks_by_itself(sqlite_shop: Shop, folder: Path) -> None:
    import threading

    number = at_before(sqlite_shop)
    join_folder(sqlite_shop, folder, number, "before")
    taken = threading.Event()
    watcher = FolderWatcher(sqlite_shop, lambda view: taken.set())
    watcher.start()
    try:
        (folder / "a.wav").write_bytes(tone_wav())
        assert taken.wait(30.0)
    finally:
        watcher.stop()
    assert len(captures_of(sqlite_shop, number)) == 1
