"""What a job waits for from outside: a part, an answer."""

from __future__ import annotations

from spindlewright.shop import accepted
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import open_job, summarise
from spindlewright.shop.tables.jobs import Waiting


def wait_for(shop: Shop, number: str, what: str) -> None:
    """The job waits for ``what`` ("belt, ordered"); empty: it waits no more."""
    with shop.writing() as session:
        job = open_job(session, number)
        session.add(Waiting(job_id=job.id, waiting_for=accepted.line("waiting for", what), since=shop.now()))
        summarise(shop, session, job)
