"""Speed of the jobs list and the job card in a shop of ten thousand jobs: one command.

    python benchmarks/jobs_list.py                      on SQLite, in a temporary folder
    python benchmarks/jobs_list.py --url postgresql+psycopg://bench@127.0.0.1:54329/postgres    on an empty database
    python benchmarks/jobs_list.py --jobs 1000

The shop is filled with invented jobs, each with recordings and readings. Every figure is server time of one call, from
asking to having the frozen view, in milliseconds. It ends with status 1 when the list takes longer than 100 ms.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import insert, text

from spindlewright.shop.job_card import job_card
from spindlewright.shop.jobs_list import jobs
from spindlewright.shop.store import Shop
from spindlewright.shop.tables.decks import Deck, Owner
from spindlewright.shop.tables.jobs import Job, JobSummary
from spindlewright.shop.tables.recordings import Capture, Measurement, ReadingRow

LONGEST_MS = 100.0
TIMES = 15
READINGS = 12
BEGIN = datetime(2020, 1, 6, 9, 0, tzinfo=UTC)
COLOURS = ("grey", "black", "walnut", "silver", "white", "red", "green", "oak")
DRIVES = ("belt deck", "idler deck", "direct-drive deck", "automatic", "changer")
OWNERS = ("town library", "school", "museum", "community radio", "music club", "archive", "café", "theatre")
WORDS = (
    "plays too slow",
    "hums in one channel",
    "thumps",
    "does not return",
    "skips at the end",
    "no sound on the left",
)
PLACES = ("on the bench", "waiting", "ready", *["handed over"] * 20)


def filled(shop: Shop, count: int) -> None:
    """``count`` invented jobs with two recordings each, written in bulk."""
    chance = random.Random(1)
    with shop.writing() as session:
        for table, rows in _rows(count, chance):
            session.execute(insert(table), rows)
    with shop.writing() as session:
        session.execute(text("ANALYZE"))


def _rows(count: int, chance: random.Random) -> Iterator[tuple[Any, list[dict[str, Any]]]]:
    numbers = range(1, count + 1)
    at = [BEGIN + timedelta(hours=5 * n) for n in numbers]
    decks = [f"{chance.choice(COLOURS)} {chance.choice(DRIVES)}, unit {n % 97}" for n in numbers]
    owners = [f"{chance.choice(OWNERS)} {n % 211}" for n in numbers]
    said = [chance.choice(WORDS) for _ in numbers]
    named = [f"{at[n - 1].year}-{n:05d}" for n in numbers]
    plain = {"speeds_rpm": [100.0 / 3.0, 45.0], "abilities": {}, "dimensions": {}, "version": 1}
    yield (
        Deck,
        [
            {"id": n, "description": decks[n - 1], "serial": f"S{n * 37}", "added_at": at[n - 1], **plain}
            for n in numbers
        ],
    )
    yield Owner, [{"id": n, "name": owners[n - 1], "added_at": at[n - 1]} for n in numbers]
    yield (
        Job,
        [
            {"id": n, "number": named[n - 1], "deck_id": n, "owner_id": n, "arrived_at": at[n - 1], "version": 1}
            | {"complaint": said[n - 1], "condition": "as usual"}
            for n in numbers
        ],
    )
    yield (
        JobSummary,
        [
            {"job_id": n, "place": chance.choice(PLACES), "stage": "handover", "next_words": "Nothing is left to do."}
            | {"changed_at": at[n - 1] + timedelta(days=3)}
            | {"search_text": f"{named[n - 1]}\n{decks[n - 1]}\ns{n * 37}\n{owners[n - 1]}\n{said[n - 1]}"}
            for n in numbers
        ],
    )
    captures = range(1, 2 * count + 1)
    yield (
        Capture,
        [
            {"id": c, "job_id": (c + 1) // 2, "stage": "before" if c % 2 else "after", "file_name": f"{c}.wav"}
            | {
                "sha256": f"{c:064x}",
                "size_bytes": 1,
                "options": {},
                "state": "measured",
                "received_at": at[(c - 1) // 2],
            }
            for c in captures
        ],
    )
    readings = [_reading(f"quantity_{r}", chance.gauss(0.0, 1.0)) for r in range(READINGS)]
    kept = {"capture": {}, "fitness": [], "bands": [], "readings": readings, "findings": [], "curves": None}
    yield (
        Measurement,
        [
            {"id": c, "capture_id": c, "engine_version": "1", "made_at": at[(c - 1) // 2], "json_object": kept}
            for c in captures
        ],
    )
    for begin in range(1, 2 * count + 1, 2000):
        yield (
            ReadingRow,
            [
                {"job_id": (c + 1) // 2, "stage": "before" if c % 2 else "after", "measurement_id": c}
                | {"engine_version": "1", "taken_at": at[(c - 1) // 2], "json_object": reading}
                | {key: reading[key] for key in ("quantity", "channel", "value", "unit", "uncertainty", "method")}
                | {"method_version": 1, "verdict": None}
                for c in range(begin, min(begin + 2000, 2 * count + 1))
                for reading in readings
            ],
        )


def _reading(quantity: str, value: float) -> dict[str, Any]:
    return {
        **{"quantity": quantity, "value": value, "unit": "dB", "uncertainty": 0.1, "coverage": 0.95, "channel": None},
        **{"budget": [{"name": "noise", "standard_uncertainty": 0.051, "distribution": "normal"}], "band": 0},
        **{"method": "invented", "source": "invented", "method_version": 1, "conditions": {"main": True}},
        **{"limit": None, "verdict": None},
    }


def milliseconds(call: Callable[[], Any]) -> tuple[float, float]:
    """Median and slowest of ``TIMES`` calls, after one that warms the caches."""
    call()
    taken = []
    for _ in range(TIMES):
        begin = time.perf_counter()
        call()
        taken.append(1e3 * (time.perf_counter() - begin))
    return statistics.median(taken), max(taken)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--jobs", type=int, default=10_000)
    parser.add_argument("--url", help="SQLAlchemy address of an empty database")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, Shop.open(Path(folder), asked.url) as shop:
        print(f"filling a shop with {asked.jobs} jobs …", flush=True)
        filled(shop, asked.jobs)
        last = jobs(shop).rows[0].number
        calls: dict[str, Callable[[], Any]] = {
            "list, newest first": lambda: jobs(shop),
            "list of one place": lambda: jobs(shop, place="on the bench"),
            "search, one word, many found": lambda: jobs(shop, "grey"),
            "search, three words, few found": lambda: jobs(shop, "walnut museum 100"),
            "search, nothing found": lambda: jobs(shop, "no such deck"),
            "search by number": lambda: jobs(shop, last),
            "last page": lambda: jobs(shop, offset=asked.jobs - 50),
        }
        slowest = 0.0
        for name, call in calls.items():
            median, longest = milliseconds(call)
            slowest = max(slowest, median)
            print(f"{name:34} {median:7.1f} ms   slowest of {TIMES}: {longest:6.1f} ms   {call().total} found")
        median, longest = milliseconds(lambda: job_card(shop, last))
        print(f"{'job card opened':34} {median:7.1f} ms   slowest of {TIMES}: {longest:6.1f} ms")
    kept = max(slowest, median) <= LONGEST_MS
    print(f"{'kept' if kept else 'NOT kept'}: at most {LONGEST_MS:g} ms (median) for each")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
