"""What was not done, and why; it stands on the sheet."""

from __future__ import annotations

from spindlewright.shop import accepted
from spindlewright.shop.as_views import left_undone_view
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_row, open_job, summarise
from spindlewright.shop.tables.jobs import Job
from spindlewright.shop.tables.work import LeftUndone
from spindlewright.shop.views.work import LeftUndoneView


def leave_undone(shop: Shop, number: str, what: str, why: str) -> LeftUndoneView:
    """Write down something that is left as it is."""
    with shop.writing() as session:
        job = open_job(session, number)
        row = LeftUndone(
            job_id=job.id,
            what=accepted.text("what is left", what, needed=True),
            why=accepted.text("why it is left", why, needed=True),
            at=shop.now(),
            taken_back_at=None,
        )
        session.add(row)
        summarise(shop, session, job)
        return left_undone_view(row)


def take_back(shop: Shop, left_id: int) -> None:
    """It was done after all."""
    with shop.writing() as session:
        row = find_row(session, LeftUndone, left_id, "thing left undone numbered")
        job = open_job(session, session.get_one(Job, row.job_id).number)
        row.taken_back_at = shop.now()
        summarise(shop, session, job)
