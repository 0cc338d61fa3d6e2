"""Run as a program by ``test_kill.py``: takes recordings in until it is killed, round after round.

    python killed_importer.py DATA URL NUMBER ROUNDS SEED

Each round is a process of its own, forked from this one (so that only the work is killed, not the start of Python),
and killed with SIGKILL after a random time, up to that of five imports. What it acknowledged is printed: one line
"taken ID SHA256" or "measured ID" each. A line cut off by the kill was not acknowledged.
"""

from __future__ import annotations

import hashlib
import io
import itertools
import os
import random
import signal
import sys
import time
from pathlib import Path

from bench_day import measurement_object, reading_object

from spindlewright.shop.recordings import measured, take_in
from spindlewright.shop.store import Shop

IMPORTS_IN_A_LIFE = 5.0
LONGEST_RUN_S = 10.0
READINGS = 12


def content_of(name: str) -> bytes:
    """What the recording called ``name`` holds, up to a megabyte, so that the kill falls into the writing too."""
    size = 1 + int(hashlib.sha256(name.encode()).hexdigest(), 16) % 1_000_000
    return (hashlib.sha512(name.encode()).digest() * (size // 64 + 1))[:size]


def import_one(shop: Shop, number: str, name: str) -> None:
    """One recording taken in and measured, each acknowledged."""
    view = take_in(shop, number, "before", name, io.BytesIO(content_of(name)))
    os.write(1, f"taken {view.id} {view.sha256}\n".encode())
    measured(shop, view.id, measurement_object(*[reading_object(value=float(n)) for n in range(READINGS)]))
    os.write(1, f"measured {view.id}\n".encode())


def main() -> None:
    """All rounds."""
    data, url, number, rounds, seed = sys.argv[1:]
    chance = random.Random(int(seed))
    with Shop.open(Path(data), url) as shop:
        import_one(shop, number, "first.wav")  # loads and compiles everything once, not in every round
        begin_s = time.monotonic()
        import_one(shop, number, "second.wav")
        longest_life_s = IMPORTS_IN_A_LIFE * (time.monotonic() - begin_s)
        shop.database.engine.dispose()
        for round_number in range(int(rounds)):
            if time.monotonic() - begin_s > LONGEST_RUN_S:
                break
            child = os.fork()
            if child == 0:
                for serial in itertools.count():
                    import_one(shop, number, f"{round_number}-{serial}.wav")
            time.sleep(chance.uniform(0.0, longest_life_s))
            os.kill(child, signal.SIGKILL)
            _, status = os.waitpid(child, 0)
            if not os.WIFSIGNALED(status):
                raise SystemExit(f"round {round_number} ended by itself with status {status}")
            os.write(1, b"\n")  # ends a line that was cut off


if __name__ == "__main__":
    main()
