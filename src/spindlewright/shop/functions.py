"""The functions of the deck, tried before and after."""

from __future__ import annotations

from spindlewright.shop import accepted
from spindlewright.shop.errors import NotOpenYet
from spindlewright.shop.facts import gates_in
from spindlewright.shop.function_list import FUNCTION_ANSWERS, functions_for
from spindlewright.shop.gate_rules import refusal
from spindlewright.shop.go_ahead import need_go_ahead
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import open_job, summarise
from spindlewright.shop.tables.work import FunctionCheck
from spindlewright.shop.views.work import FunctionView

WITHOUT_RUNNING = ("lift_up", "lift_down", "lid", "feet")
"""Functions that can be tried on a deck that may not run."""


def check_function(
    shop: Shop, number: str, stage: str, function: str, answer: str, note: str = ""
) -> tuple[FunctionView, ...]:
    """Write down one function as tried ("works", "does not", "not there"); gives all functions."""
    accepted.choice("stage", stage, ("before", "after"))
    accepted.choice("function", answer, FUNCTION_ANSWERS)
    with shop.writing() as session:
        job = open_job(session, number)
        known = functions_for(tuple(job.deck.speeds_rpm))
        accepted.choice("function", function, tuple(key for key, _ in known))
        if stage == "after":
            need_go_ahead(session, job, "After")
        if answer != "not there" and function not in WITHOUT_RUNNING:
            why = refusal(gates_in(session, job), "functions", "Functions are")
            if why is not None:
                raise NotOpenYet(why)
        session.add(
            FunctionCheck(
                job_id=job.id,
                stage=stage,
                function=function,
                answer=answer,
                note=accepted.text("note", note),
                checked_at=shop.now(),
            )
        )
        return summarise(shop, session, job).functions
