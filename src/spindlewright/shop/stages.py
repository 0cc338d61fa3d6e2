"""Where a job stands: the state of each stage, the one next step, and its place in the jobs list. Pure rules."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from spindlewright.shop import next_steps
from spindlewright.shop.as_views import money_words
from spindlewright.shop.facts import Facts
from spindlewright.shop.gate_rules import all_answered
from spindlewright.shop.repeats_asked import repeats_asked
from spindlewright.shop.views.lists import Place
from spindlewright.shop.views.stages import STAGES, NextStep, Stage, StageMark, StageState


@dataclass(frozen=True, slots=True)
class Standing:
    """The whole of it. ``waiting_for`` says what a waiting job waits for."""

    stages: tuple[StageState, ...]
    next_step: NextStep
    place: Place
    waiting_for: str


def standing(facts: Facts) -> Standing:
    """Where the job stands."""
    step, missing = _first_missing(facts)
    states = []
    for key, title in STAGES:
        why = why_closed(facts, key)
        mark: StageMark = "closed" if why else "open" if key in missing else "done"
        if key == step.stage and facts.handover is None:
            mark = "now"
        states.append(StageState(key, title, mark, summary(facts, key), why if mark == "closed" else ""))
    place, waiting_for = _place(facts, step)
    return Standing(tuple(states), step, place, waiting_for)


def _first_missing(facts: Facts) -> tuple[NextStep, set[str]]:
    """The first step that is still to be done, and every stage that has one."""
    missing: dict[str, NextStep] = {}
    for step in _missing(facts):
        missing.setdefault(step.stage, step)
    refused = facts.go_ahead is not None and facts.go_ahead.kind == "owner_no"
    if refused:
        missing = {key: step for key, step in missing.items() if key == "handover"}
    if facts.handover is not None:
        day = facts.handover.at.date().isoformat()
        return NextStep("handover", f"Handed over on {day}. Nothing is left to do.", "handover"), set()
    ordered = [missing[key] for key, _ in STAGES if key in missing]
    for step in ordered:
        if not why_closed(facts, step.stage):
            return step, set(missing)
    return ordered[0], set(missing)


def _missing(facts: Facts) -> Iterator[NextStep]:
    yield from next_steps.arrival(facts)
    yield from next_steps.before(facts)
    yield from next_steps.go_ahead(facts)
    yield from next_steps.work(facts)
    yield from next_steps.set_up(facts)
    yield from next_steps.after(facts)
    yield from next_steps.handover(facts)


def why_closed(facts: Facts, stage: Stage) -> str:
    """Why a stage may not be worked on yet and what opens it; empty when it may."""
    if stage == "before" and not all_answered(facts.gates):
        gate = next(gate for gate in facts.gates if gate.state == "not answered yet")
        return f'opens when the gates of Arrival are answered; next is "{gate.title}"'
    if stage in ("work", "set_up", "after"):
        if facts.go_ahead is None:
            return "opens with the owner's yes, or with \"shop's own deck\""
        if facts.go_ahead.kind == "owner_no":
            return "the owner said no; a later yes opens it"
    if stage == "after" and not next_steps.work_begun(facts):
        return "opens when something has been done: tick a task of Work or Set-up first"
    if stage == "handover" and facts.go_ahead is None:
        return "opens with the owner's answer at Go-ahead"
    return ""


def _place(facts: Facts, step: NextStep) -> tuple[Place, str]:
    if facts.handover is not None:
        return "handed over", ""
    if facts.job.waiting_for:
        return "waiting", facts.job.waiting_for
    if step.stage == "handover":
        return "ready", ""
    if step.stage == "go_ahead" and not facts.owner.is_shop:
        return "waiting", "the owner's answer"
    return "on the bench", ""


def summary(facts: Facts, stage: Stage) -> str:
    """What there is of a stage, in a few words."""
    if stage == "arrival":
        return _arrival(facts)
    if stage == "before":
        return _readings(facts, "before")
    if stage == "go_ahead":
        return facts.go_ahead.words if facts.go_ahead else ""
    if stage == "after":
        return _after(facts)
    if stage == "handover":
        return f"on {facts.handover.at.date().isoformat()}" if facts.handover else ""
    return _tasks(facts, stage)


def _arrival(facts: Facts) -> str:
    closed = [gate.title.rstrip("?").lower() for gate in facts.gates if gate.state == "closed"]
    parts = [f"arrived on {facts.job.arrived_at.date().isoformat()}"]
    if facts.job.stop_sum is not None:
        parts.append(f"stop sum {money_words(facts.job.stop_sum, facts.job.currency)}")
    parts += [f"not {words}" for words in closed]
    return ", ".join(parts)


def _readings(facts: Facts, stage: str) -> str:
    captures = facts.captures_of(stage)
    parts = []
    for state, words in (("measured", "measured"), ("failed", "not readable")):
        if count := sum(capture.state == state for capture in captures):
            parts.append(f"{count} recording{'s' if count > 1 else ''} {words}")
    if waiting := sum(capture.state in ("stored", "measuring") for capture in captures):
        parts.append(f"{waiting} being measured")
    if reason := facts.no_recording_of(stage):
        parts.append(reason.words)
    if by_hand := sum(key == stage for key, _ in facts.hand_quantities):
        parts.append(f"{by_hand} by hand")
    if not parts and stage == "before" and next_steps.work_begun(facts):
        parts.append("nothing was read before the work")
    return ", ".join(parts)


def _tasks(facts: Facts, stage: str) -> str:
    tasks = [task for task in facts.tasks if task.stage == stage]
    done = sum(task.done_at is not None for task in tasks)
    parts = [f"{done} done"] if done else []
    if len(tasks) > done:
        parts.append(f"{len(tasks) - done} to do")
    return ", ".join(parts)


def _after(facts: Facts) -> str:
    parts = [words for words in (_readings(facts, "after"),) if words]
    asked = repeats_asked(facts.captures_of("before"), facts.captures_of("after"))
    if asked and facts.captures_of("after"):
        parts.append(f"{sum(repeat.done for repeat in asked)} of {len(asked)} repeats of Before")
    if facts.soak_runs:
        parts.append(f"soak run {facts.soak_runs[-1].length_min:g} min")
    return ", ".join(parts)
