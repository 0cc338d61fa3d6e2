"""Answering the gates."""

from __future__ import annotations

from spindlewright.shop import accepted
from spindlewright.shop.errors import NotAccepted
from spindlewright.shop.facts import gates_in
from spindlewright.shop.gate_questions import GATES, gate_of
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_job, open_job, summarise
from spindlewright.shop.tables.jobs import GateAnswer
from spindlewright.shop.views.stages import GateState

__all__ = ["GATES", "answer_gate", "gates_of"]


def answer_gate(
    shop: Shop, number: str, gate: str, question: str, answer: str, note: str = ""
) -> tuple[GateState, ...]:
    """Answer one question; a later answer counts instead of an earlier one, and both are kept. Gives all gates."""
    found = gate_of(gate)
    if found is None:
        raise NotAccepted("gate", repr(gate), ", ".join(item.key for item in GATES), "choose one of these")
    asked = found.question(question)
    if asked is None:
        allowed = ", ".join(item.key for item in found.questions)
        raise NotAccepted(found.title, repr(question), allowed, "choose one of these questions")
    accepted.choice(asked.words, answer, asked.answers)
    with shop.writing() as session:
        job = open_job(session, number)
        session.add(
            GateAnswer(
                job_id=job.id,
                gate=gate,
                question=question,
                answer=answer,
                note=accepted.text("note", note),
                answered_at=shop.now(),
            )
        )
        return summarise(shop, session, job).gates


def gates_of(shop: Shop, number: str) -> tuple[GateState, ...]:
    """The gates of a job as its last answers leave them."""
    with shop.reading() as session:
        return gates_in(session, find_job(session, number))
