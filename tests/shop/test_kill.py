"""kill -9 in the middle of imports loses nothing that was acknowledged and leaves no half rows.

Real processes are killed at random moments while they take recordings in and add measurements.
"""

from __future__ import annotations

import hashlib
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest
from bench_day import at_before
from sqlalchemy import func, select, text

from spindlewright.shop.job_card import job_card
from spindlewright.shop.store import Shop
from spindlewright.shop.tables.recordings import Capture, FindingRow, Measurement, ReadingRow

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kill -9 and fork are of POSIX systems")
HERE = Path(__file__).parent
ROUNDS = 30
READINGS = 12


def kill_importers(shop: Shop, database_url: str, number: str) -> tuple[dict[int, str], set[int]]:
    """What the killed processes acknowledged: recordings (id to hash), and ids of those measured."""
    seed = random.randrange(1 << 30)
    source = str(HERE.parent.parent / "src")
    done = subprocess.run(
        [
            *(sys.executable, str(HERE / "killed_importer.py")),
            *(str(shop.folder), database_url, number, str(ROUNDS), str(seed)),
        ],
        env={**os.environ, "PYTHONPATH": os.pathsep.join((source, str(HERE)))},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, f"seed {seed}: {done.stderr}"
    lines = [line.split() for line in done.stdout.splitlines()]
    taken = {int(words[1]): words[2] for words in lines if len(words) == 3 and len(words[2]) == 64}
    finished = {int(words[1]) for words in lines if len(words) == 2 and words[0] == "measured" and words[1].isdigit()}
    return taken, finished & set(taken)


@pytest.mark.slow
def test_nothing_acknowledged_is_lost_and_nothing_is_half(shop: Shop, records_url: str) -> None:
    number = at_before(shop)
    taken, finished = kill_importers(shop, records_url, number)
    assert len(taken) >= 8, "the processes lived too short to prove anything"
    with shop.reading() as session:
        rows = {row.id: row for row in session.scalars(select(Capture))}
        states = {capture_id: row.state for capture_id, row in rows.items()}
        counts = dict(
            session.execute(  # type: ignore[arg-type]
                select(Measurement.capture_id, func.count(ReadingRow.id))
                .join(ReadingRow, ReadingRow.measurement_id == Measurement.id)
                .group_by(Measurement.capture_id)
            ).all()
        )
        findings = session.scalar(select(func.count(FindingRow.id)))
        if session.get_bind().dialect.name == "sqlite":
            assert session.scalar(text("PRAGMA integrity_check")) == "ok"
            assert session.execute(text("PRAGMA foreign_key_check")).all() == []
    # Nothing acknowledged is lost.
    assert {capture_id: rows[capture_id].sha256 for capture_id in taken if capture_id in rows} == taken
    assert all(states[capture_id] == "measured" for capture_id in finished)
    # Every row has its whole file, also those that were written but not acknowledged.
    for row in rows.values():
        content = shop.files.path_of(row.sha256).read_bytes()
        assert hashlib.sha256(content).hexdigest() == row.sha256
        assert len(content) == row.size_bytes
    # A measurement is there with all its readings and findings, or not at all.
    assert set(counts.values()) <= {READINGS}
    assert set(counts) == {capture_id for capture_id, state in states.items() if state == "measured"}
    assert findings == len(counts)
    # And the job goes on.
    assert len(job_card(shop, number).captures) == len(rows)
