"""The measuring queue: real recordings, measured by the real engine in processes of their own."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from bench_day import BenchClock, answer_all, arrived, at_before, tone_wav

from spindlewright.contract import to_json_object
from spindlewright.measure import measure
from spindlewright.shop.job_card import job_card
from spindlewright.shop.measuring import MeasuringQueue
from spindlewright.shop.measuring_claims import LEASE_S, MOST_ATTEMPTS, claim_next
from spindlewright.shop.recordings import capture_of, captures_of, measure_again, take_in
from spindlewright.shop.store import Shop
from spindlewright.shop.views.recordings import CaptureOptions

HERE = Path(__file__).parent
SECONDS = 12.0


@pytest.fixture
def queue(sqlite_shop: Shop) -> Iterator[MeasuringQueue]:
    queue = MeasuringQueue(sqlite_shop)
    queue.start()
    yield queue
    queue.stop()


def test_a_recording_is_measured_as_the_engine_measures_it(
    sqlite_shop: Shop, queue: MeasuringQueue, tmp_path: Path
) -> None:
    shop, number = sqlite_shop, at_before(sqlite_shop)
    sound = tone_wav(SECONDS, 3137.4)  # 0.4 % under 3150 Hz
    view = take_in(shop, number, "before", "side a.wav", io.BytesIO(sound), CaptureOptions(rpm=100.0 / 3.0))
    assert queue.progress_of(view.id).state in ("stored", "measuring")
    assert queue.wait_until_idle(60.0)
    now = capture_of(shop, view.id, curves=True)
    assert queue.progress_of(view.id).share == 1.0
    assert now.state == "measured"
    assert now.measurement is not None
    (tmp_path / "alone.wav").write_bytes(sound)
    alone = to_json_object(measure(tmp_path / "alone.wav", rpm=100.0 / 3.0, curves=True))
    kept = dict(now.measurement.json_object)
    assert {**kept, "capture": None} == {**alone, "capture": None}
    assert kept["capture"] == {**alone["capture"], "file": "side a.wav"}
    deviation = next(v for v in job_card(shop, number).readings if v.reading.quantity == "speed_deviation")
    assert deviation.reading.value == pytest.approx(-0.4, abs=0.001)


DAMAGED = {
    "text.wav": (b"hello, this is no sound\n" * 10, "this is a text file"),
    "header only.wav": (tone_wav()[:44], "it holds a header but no sound"),
    "header cut off.wav": (tone_wav()[:20], "."),
    "anything.wav": (bytes(range(256)) * 40, "."),
}
"""Name to content and words that the sentence must hold."""


def test_damaged_uploads_get_their_sentence_and_are_kept(sqlite_shop: Shop, queue: MeasuringQueue) -> None:
    shop, number = sqlite_shop, at_before(sqlite_shop)
    for name, (content, _) in DAMAGED.items():
        take_in(shop, number, "before", name, io.BytesIO(content))
    assert queue.wait_until_idle(60.0)
    captures = captures_of(shop, number)
    assert [capture.state for capture in captures] == ["failed"] * len(DAMAGED)
    for capture in captures:
        content, words = DAMAGED[capture.file_name]
        assert capture.problem.startswith(f"{capture.file_name}: ")
        assert words in capture.problem
        assert "\n" not in capture.problem
        assert not {"Traceback", "Error", str(shop.folder), capture.sha256} & set(capture.problem.split())
        assert shop.files.path_of(capture.sha256).read_bytes() == content


def test_a_long_take_of_a_rough_deck_is_refused_and_kept(sqlite_shop: Shop, queue: MeasuringQueue) -> None:
    shop, number = sqlite_shop, arrived(sqlite_shop)
    answer_all(shop, number, {"turned_by_hand": "rough"})
    view = take_in(shop, number, "before", "long.wav", io.BytesIO(tone_wav(61.0)))
    assert queue.wait_until_idle(60.0)
    now = capture_of(shop, view.id)
    assert now.state == "failed"
    assert "it is 61 s long" in now.problem
    assert "at most 60 s" in now.problem


def test_the_lifted_arm_alone_gives_hum(sqlite_shop: Shop, queue: MeasuringQueue) -> None:
    import numpy as np
    import soundfile

    time_s = np.arange(30 * 8000) / 8000
    noise = np.random.default_rng(7).normal(0.0, 1e-5, (len(time_s), 2))
    hum = 1e-3 * np.sin(2.0 * np.pi * 50.0 * time_s)
    out = io.BytesIO()
    soundfile.write(out, noise + hum[:, None] * np.array([1.0, 0.0]), 8000, format="WAV", subtype="FLOAT")
    out.seek(0)
    shop, number = sqlite_shop, arrived(sqlite_shop)
    answer_all(shop, number, {"tip": "no"})
    take_in(shop, number, "before", "lifted.wav", out, CaptureOptions(arm_lifted=True))
    assert queue.wait_until_idle(60.0)
    card = job_card(shop, number)
    assert card.captures[0].state == "measured"
    assert card.captures[0].measurement is not None
    assert [band["kind"] for band in card.captures[0].measurement.json_object["bands"]] == ["lifted"]
    hums = {view.reading.channel: view.reading for view in card.readings if view.reading.quantity == "hum"}
    # 1e-3 peak is −60 dB re a full-scale sine (AES17).
    assert hums["left"].value == pytest.approx(-60.0, abs=0.1)
    assert hums["right"].value < -80.0


def test_a_measuring_that_dies_is_tried_again_and_then_given_up(sqlite_shop: Shop) -> None:
    shop, number = sqlite_shop, at_before(sqlite_shop)
    view = take_in(shop, number, "before", "deadly.wav", io.BytesIO(tone_wav()))
    queue = MeasuringQueue(shop)
    killed, stop = [], threading.Event()

    def kill_every_child() -> None:
        while not stop.is_set():
            for child in list(queue._children):
                if child.pid not in killed:
                    os.kill(child.pid, signal.SIGKILL)
                    killed.append(child.pid)
            time.sleep(0.005)

    killer = threading.Thread(target=kill_every_child)
    killer.start()
    queue.start()
    try:
        assert queue.wait_until_idle(60.0)
    finally:
        stop.set()
        killer.join()
        queue.stop()
    now = capture_of(shop, view.id)
    assert len(killed) == MOST_ATTEMPTS
    assert now.problem.startswith(f"deadly.wav: measuring it stopped {MOST_ATTEMPTS} times without an answer.")
    assert measure_again(shop, view.id).state == "stored"


def test_stopping_puts_the_recording_back(sqlite_shop: Shop) -> None:
    shop, number = sqlite_shop, at_before(sqlite_shop)
    view = take_in(shop, number, "before", "a.wav", io.BytesIO(tone_wav()))
    queue = MeasuringQueue(shop)
    queue.start()
    while capture_of(shop, view.id).state != "measuring":
        time.sleep(0.01)
    queue.stop()
    assert capture_of(shop, view.id).state == "stored"


def test_a_bench_that_is_gone_loses_its_claim_after_the_lease(sqlite_shop: Shop, clock: BenchClock) -> None:
    shop, number = sqlite_shop, at_before(sqlite_shop)
    take_in(shop, number, "before", "a.wav", io.BytesIO(tone_wav()))
    assert claim_next(shop, "first bench:1:1") is not None
    assert claim_next(shop, "second bench:1:1") is None
    clock.at += timedelta(seconds=LEASE_S)
    assert claim_next(shop, "second bench:1:1") is not None


def test_two_benches_never_take_the_same(shop: Shop) -> None:
    from bench_day import taken_in

    number = at_before(shop)
    ids = {taken_in(shop, number, serial=serial).id for serial in range(12)}
    claimed: list[int] = []

    def claims(bench: str) -> None:
        while (claim := claim_next(shop, f"{bench}:1:1")) is not None:
            claimed.append(claim[0])

    threads = [threading.Thread(target=claims, args=(f"bench {letter}",)) for letter in "abcd"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(claimed) == sorted(ids)


SERVER = """
import sys, time
from spindlewright.shop.store import Shop
from spindlewright.shop.measuring import MeasuringQueue
queue = MeasuringQueue(Shop.open(sys.argv[1]))
queue.start()
while not queue._children:
    time.sleep(0.005)
print(*[child.pid for child in queue._children], flush=True)
time.sleep(60)
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kill -9 is of POSIX systems")
def test_what_a_killed_server_was_measuring_is_taken_up_again(tmp_path: Path) -> None:
    with Shop.open(tmp_path / "data") as shop:
        number = at_before(shop)
        sounds = [tone_wav(3.0, 3150.0, serial) for serial in range(2)]
        views = [take_in(shop, number, "before", f"{i}.wav", io.BytesIO(s)) for i, s in enumerate(sounds)]
        source = str(HERE.parent.parent / "src")
        server = subprocess.Popen(
            [sys.executable, "-c", SERVER, str(shop.folder)],
            env={**os.environ, "PYTHONPATH": source},
            stdout=subprocess.PIPE,
            text=True,
        )
        assert server.stdout is not None
        child = int(server.stdout.readline())
        server.kill()
        server.communicate()
        assert capture_of(shop, views[0].id).state == "measuring"
        queue = MeasuringQueue(shop)
        queue.start()
        try:
            assert queue.wait_until_idle(60.0)
        finally:
            queue.stop()
        assert [capture_of(shop, view.id).state for view in views] == ["measured", "measured"]
        assert not is_alive(child), "the measuring process outlived its server"


def is_alive(process_id: int) -> bool:
    """Whether a process still does something (one that only waits to be collected does not)."""
    try:
        state = Path(f"/proc/{process_id}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state != "Z"
