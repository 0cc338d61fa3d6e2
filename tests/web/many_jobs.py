"""A shop with very many jobs, written straight into its tables: as many as a bench sees in a lifetime."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import insert

from spindlewright.shop.store import Shop
from spindlewright.shop.tables.decks import Deck, Owner
from spindlewright.shop.tables.jobs import Job, JobSummary

PLACES = (("handed over", "handover"),) * 17 + (
    ("on the bench", "before"),
    ("waiting", "go_ahead"),
    ("ready", "handover"),
)


def fill_with_jobs(shop: Shop, count: int) -> None:
    """``count`` jobs, 15 % of them open, each with words of its own."""
    now = shop.now()
    decks, owners, jobs, lines = [], [], [], []
    for i in range(1, count + 1):
        at = now - timedelta(minutes=count - i)
        deck, owner, words = f"belt deck, unit {i}", f"reading room {i % 400}", f"complaint {i * 7919 % count}"
        decks.append(
            {"id": i, "description": deck, "serial": f"S{i}", "added_at": at, "abilities": {}, "dimensions": {}}
            | {"drive": "belt", "motor": "unknown", "arm": "unknown", "automatic": False, "speeds_rpm": [45.0]}
            | {"version": 1}
        )
        owners.append({"id": i, "name": owner, "contact": "", "is_shop": False, "added_at": at})
        number = f"{2000 + i // 500}-{i % 500:04d}"
        jobs.append(
            {"id": i, "number": number, "deck_id": i, "owner_id": i, "arrived_at": at, "complaint": words}
            | {"condition": "", "brought_with": "", "missing": "", "currency": "", "shop_headshell": "", "version": 1}
        )
        place, stage = PLACES[i % len(PLACES)]
        lines.append(
            {"job_id": i, "place": place, "stage": stage, "next_words": "the next step", "waiting_for": ""}
            | {"search_text": f"{number}\n{deck}\n{owner}\n{words}", "changed_at": at}
        )
    with shop.writing() as session:
        for table, rows in ((Deck, decks), (Owner, owners), (Job, jobs), (JobSummary, lines)):
            session.execute(insert(table), rows)
