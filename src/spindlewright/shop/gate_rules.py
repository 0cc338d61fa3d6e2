"""What the answers at the gates open and close: plain values in, plain values out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from spindlewright.shop.gate_questions import GATES, SHORT_ANSWERS, SHORT_TAKE_S, Gate, Question, step_of
from spindlewright.shop.views.stages import GateMark, GateState, QuestionState

NO_HEADSHELL_NEEDED = {"tip", "cantilever"}
"""Questions about the deck's own stylus: with the shop's own headshell they do not close the gate."""


@dataclass(frozen=True, slots=True)
class Answer:
    """The last answer to one question."""

    answer: str
    note: str
    answered_at: datetime


def gate_states(answers: Mapping[tuple[str, str], Answer], shop_headshell: str = "") -> tuple[GateState, ...]:
    """Every gate as the last answers leave it; keys of ``answers`` are (gate, question)."""
    return tuple(_state(gate, answers, shop_headshell) for gate in GATES)


def _state(gate: Gate, answers: Mapping[tuple[str, str], Answer], shop_headshell: str) -> GateState:
    questions = tuple(_question(gate, question, answers, shop_headshell) for question in gate.questions)
    closing = [question for question in questions if question.closes]
    unanswered = [question for question in questions if question.answer is None]
    cold_short = any(question.answer in SHORT_ANSWERS for question in questions)
    state: GateMark = "closed" if closing else "not answered yet" if unanswered else "open"
    why, opens_with = "", ""
    if closing:
        cures = [gate.question(question.key) for question in closing]
        why = _listed([question.why for question in closing])
        opens_with = _listed([cure.opens_with for cure in cures if cure]) + "; then answer the question again"
    elif unanswered:
        why, opens_with = f"still to be answered: {unanswered[0].words}", "answer the questions"
    closes, closes_keys = tuple(gate.closes.values()), tuple(gate.closes)
    return GateState(gate.key, gate.title, state, why, opens_with, closes, closes_keys, questions, cold_short)


def _question(
    gate: Gate, question: Question, answers: Mapping[tuple[str, str], Answer], shop_headshell: str
) -> QuestionState:
    given = answers.get((gate.key, question.key))
    answer = given.answer if given else None
    why = question.closing.get(answer or "", "")
    closes = bool(why)
    if closes and shop_headshell and question.key in NO_HEADSHELL_NEEDED:
        closes, why = False, f"{why}; played with the shop's own headshell ({shop_headshell})"
    if answer in SHORT_ANSWERS:
        why = f"turned by hand it is {answer}: one take of at most {SHORT_TAKE_S:.0f} s, without warming up"
    return QuestionState(
        question.key,
        question.words,
        question.answers,
        answer,
        given.note if given else "",
        given.answered_at if given else None,
        closes,
        why,
        step_of(gate.key, question.key),
    )


def refusal(gates: Sequence[GateState], key: str, what: str) -> str | None:
    """Why ``key`` (``recordings``, ``functions`` …) may not be done now, as one sentence; None when it may."""
    for gate in gates:
        if gate.state == "open" or key not in gate.closes_keys:
            continue
        title = gate.title.rstrip("?").lower()
        if gate.state == "closed":
            return f"{what} not open: the deck is not {title}, because {gate.why}. To open: {gate.opens_with}."
        return f'{what} not open yet: "{gate.title}" is not answered. First answer: {gate.why.split(": ", 1)[1]}'
    return None


def all_answered(gates: Sequence[GateState]) -> bool:
    """True when every gate is either open or closed by an answer, so that Before may begin."""
    return all(gate.state != "not answered yet" for gate in gates)


def cold_short(gates: Sequence[GateState]) -> bool:
    """True when only one short cold take is allowed."""
    return any(gate.cold_short for gate in gates)


def _listed(words: Sequence[str]) -> str:
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " and " + words[-1]
