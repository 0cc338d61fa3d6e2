"""The soak run: the deck left running before it goes home."""

from __future__ import annotations

from spindlewright.shop import accepted
from spindlewright.shop.as_views import soak_view
from spindlewright.shop.errors import NotOpenYet
from spindlewright.shop.facts import gates_in
from spindlewright.shop.gate_rules import refusal
from spindlewright.shop.go_ahead import need_go_ahead
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import open_job, summarise
from spindlewright.shop.tables.work import SoakRun
from spindlewright.shop.views.work import SoakView

RESULTS = ("ran through", "stopped", "noticed something")
LONGEST_MIN = 14 * 24 * 60.0


def soak_run(shop: Shop, number: str, length_min: float, result: str = "ran through", note: str = "") -> SoakView:
    """Write down a soak run of ``length_min`` minutes."""
    accepted.number("length of the soak run", length_min, 1.0, LONGEST_MIN, "min")
    accepted.choice("soak run", result, RESULTS)
    with shop.writing() as session:
        job = open_job(session, number)
        need_go_ahead(session, job, "The soak run")
        if (why := refusal(gates_in(session, job), "soak_run", "The soak run is")) is not None:
            raise NotOpenYet(why)
        row = SoakRun(
            job_id=job.id,
            length_min=length_min,
            result=result,
            note=accepted.text("note", note),
            ended_at=shop.now(),
        )
        session.add(row)
        summarise(shop, session, job)
        return soak_view(row)
