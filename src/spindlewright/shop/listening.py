"""Listening at the end: two records, first and last track, a mono voice, a quiet passage, each channel alone."""

from __future__ import annotations

from spindlewright.shop import accepted
from spindlewright.shop.errors import NotOpenYet
from spindlewright.shop.facts import gates_in
from spindlewright.shop.function_list import LISTENING, TICK_ANSWERS
from spindlewright.shop.gate_rules import refusal
from spindlewright.shop.go_ahead import need_go_ahead
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import open_job, summarise
from spindlewright.shop.tables.work import ListeningTick
from spindlewright.shop.views.work import ListeningView


def tick(shop: Shop, number: str, item: str, answer: str = "good", note: str = "") -> tuple[ListeningView, ...]:
    """Write down one thing listened to ("good", "not good", "does not apply"); gives all of them."""
    accepted.choice("listening", item, tuple(key for key, _ in LISTENING))
    accepted.choice("listening", answer, TICK_ANSWERS)
    with shop.writing() as session:
        job = open_job(session, number)
        need_go_ahead(session, job, "After")
        if answer != "does not apply" and (why := refusal(gates_in(session, job), "listening", "Listening is")):
            raise NotOpenYet(why)
        session.add(
            ListeningTick(
                job_id=job.id, item=item, answer=answer, note=accepted.text("note", note), ticked_at=shop.now()
            )
        )
        return summarise(shop, session, job).listening
