"""The next step of each stage: what is still missing there, the most urgent first. Pure rules, words for the bench."""

from __future__ import annotations

from collections.abc import Iterator

from spindlewright.shop.facts import Facts
from spindlewright.shop.gate_questions import SHORT_ANSWERS, SHORT_TAKE_S
from spindlewright.shop.gate_rules import all_answered, cold_short, refusal
from spindlewright.shop.repeats_asked import repeats_asked
from spindlewright.shop.views.stages import GateState, NextStep, Stage


def arrival(facts: Facts) -> Iterator[NextStep]:
    """Condition, agreement, then the gates."""
    if not facts.job.condition and not work_begun(facts):
        yield NextStep(
            "arrival",
            "Write down the condition of the deck, what came with it and what is missing.",
            "arrival-condition",
        )
    agreed = facts.job.look_over_fee is not None or facts.job.stop_sum is not None
    if not facts.owner.is_shop and not agreed and facts.go_ahead is None:
        yield NextStep(
            "arrival", "Agree the look-over fee and the stop sum with the owner (0 is allowed).", "arrival-agreement"
        )
    for gate in facts.gates:
        if gate.state == "not answered yet":
            question = next(question for question in gate.questions if question.answer is None)
            yield NextStep("arrival", f"{gate.title} {question.words}", f"gate-{gate.key}-{question.key}")


def before(facts: Facts) -> Iterator[NextStep]:
    """Recordings (or why there are none), then functions; while something is measured, what can be done meanwhile."""
    if not all_answered(facts.gates):
        yield NextStep("before", "Answer the gates of Arrival first.", "arrival-gates")
        return
    if work_begun(facts):  # "as it came" is past
        yield from _being_measured(facts, "before")
        return
    yield from _recording_wanted(facts, "before")
    if refusal(facts.gates, "functions", "") is None and not any(view.before for view in facts.functions):
        yield NextStep("before", "Try the functions as they are: works, does not, not there.", "before-functions")
    yield from _being_measured(facts, "before")


def work_begun(facts: Facts) -> bool:
    """True when something has been done to the deck."""
    return any(task.done_at is not None for task in facts.tasks)


def _recording_wanted(facts: Facts, stage: Stage) -> Iterator[NextStep]:
    """One recording at least, or why there is none; in After one of a disc played."""
    captures = [view for view in facts.captures_of(stage) if stage == "before" or not view.options.arm_lifted]
    if any(capture.state != "failed" for capture in captures) or facts.no_recording_of(stage):
        return
    if refusal(facts.gates, "recordings", "") is not None:
        yield _answer_again(facts) if stage == "after" else _not_fit(facts)
        return
    again = f" {captures[-1].file_name} could not be measured; take it again." if captures else ""
    if cold_short(facts.gates):
        words = f"Take one recording of at most {SHORT_TAKE_S:.0f} s, cold, without warming up."
    elif stage == "before":
        words = "Record a test disc as the deck came, before anything is cleaned."
    else:
        words = "Record a test disc, to show how the deck leaves."
    yield NextStep(stage, words + again, f"{stage}-recordings")


def _not_fit(facts: Facts) -> NextStep:
    gate = _closed_gate(facts)
    lifted = refusal(facts.gates, "recordings_lifted", "") is None
    take = "Take the hum with the arm lifted, or write" if lifted else "Write"
    return NextStep(
        "before",
        f"Not {gate.title.rstrip('?').lower()}, because {gate.why}. {take} "
        '"could not be read on arrival", with the reason.',
        "before-no-recording",
    )


def _being_measured(facts: Facts, stage: Stage) -> Iterator[NextStep]:
    waiting = [capture for capture in facts.captures_of(stage) if capture.state in ("stored", "measuring")]
    if waiting:
        more = "" if len(waiting) == 1 else f" and {len(waiting) - 1} more"
        yield NextStep(
            stage,
            f"Wait for the readings of {waiting[0].file_name}{more}: measuring goes on by itself.",
            f"{stage}-recordings",
        )


def go_ahead(facts: Facts) -> Iterator[NextStep]:
    """The owner's answer."""
    if facts.go_ahead is not None:
        return
    if facts.owner.is_shop:
        yield NextStep("go_ahead", "The shop's own deck: write down the go-ahead.", "go_ahead")
        return
    name = facts.owner.name or "the owner"
    contact = f" ({facts.owner.contact})" if facts.owner.contact else ""
    yield NextStep("go_ahead", f"Ask {name}{contact} for the yes: who, when, how, up to which sum.", "go_ahead")


def work(facts: Facts) -> Iterator[NextStep]:
    """Planned tasks, or the first one."""
    yield from _tasks(facts, "work")


def set_up(facts: Facts) -> Iterator[NextStep]:
    """Planned tasks; the tracking force on the scale."""
    planned = [task for task in facts.tasks if task.stage == "set_up" and task.done_at is None]
    if planned:
        yield NextStep("set_up", f"Do: {planned[0].words}", f"task-{planned[0].id}")
        return
    done = any(task.stage == "set_up" for task in facts.tasks)
    weighed = {("set_up", "tracking_force"), ("after", "tracking_force")} & facts.hand_quantities
    if not done and not weighed:
        yield NextStep("set_up", "Set the tracking force with the scale, and write down what it reads.", "set_up-hand")


def _tasks(facts: Facts, stage: str) -> Iterator[NextStep]:
    tasks = [task for task in facts.tasks if task.stage == stage]
    planned = [task for task in tasks if task.done_at is None]
    if planned:
        yield NextStep("work", f"Do: {planned[0].words}", f"task-{planned[0].id}")
    elif not tasks:
        yield NextStep("work", "Do the work, and tick each task as it is done.", "work-tasks")


def after(facts: Facts) -> Iterator[NextStep]:
    """Repeats of Before first, then functions, soak run, listening."""
    yield from _turn_again(facts)
    asked = repeats_asked(facts.captures_of("before"), facts.captures_of("after"))
    missing = [repeat for repeat in asked if not repeat.done]
    if missing and not facts.no_recording_of("after"):
        closed = refusal(facts.gates, "recordings_lifted" if missing[0].options.arm_lifted else "recordings", "")
        yield (
            _answer_again(facts)
            if closed
            else NextStep(
                "after", f"Repeat what Before used: {missing[0].words}, recorded the same way.", "after-recordings"
            )
        )
    if all(repeat.options.arm_lifted for repeat in asked):
        yield from _recording_wanted(facts, "after")
    if untried := [view for view in facts.functions if view.after is None]:
        yield NextStep("after", f"Try the functions again; next: {untried[0].words}.", "after-functions")
    if not facts.soak_runs:
        yield NextStep("after", "Let it run through (soak run), and write down how long.", "after-soak")
    if unheard := [item for item in facts.listening if item.answer is None]:
        yield NextStep("after", f"Listen; next: {unheard[0].words}.", "after-listening")
    yield from _being_measured(facts, "after")


def _turn_again(facts: Facts) -> Iterator[NextStep]:
    """A deck that was dry or rough before the work is turned by hand again after it."""
    question = next(item for gate in facts.gates for item in gate.questions if item.key == "turned_by_hand")
    first_done = min((task.done_at for task in facts.tasks if task.done_at), default=None)
    if question.answer in SHORT_ANSWERS and question.answered_at and first_done and question.answered_at < first_done:
        yield NextStep(
            "after",
            f'Turn the platter by hand again, unplugged, and answer "Fit to run?": before the work it was '
            f"{question.answer}.",
            "gate-run-turned_by_hand",
        )


def handover(facts: Facts) -> Iterator[NextStep]:
    """The sheet, and the deck given back."""
    if facts.handover is not None:
        return
    if facts.go_ahead is not None and facts.go_ahead.kind == "owner_no":
        yield NextStep("handover", "The owner said no: print the sheet and give the deck back as it came.", "handover")
        return
    yield NextStep("handover", "Print the service sheet, give the deck back, and write down to whom.", "handover")


def _answer_again(facts: Facts) -> NextStep:
    gate = _closed_gate(facts)
    why = f"it was closed, because {gate.why}" if gate.state == "closed" else gate.why
    return NextStep("after", f'Answer "{gate.title}" again before recording: {why}.', f"gate-{gate.key}")


def _closed_gate(facts: Facts) -> GateState:
    return next(gate for gate in facts.gates if gate.state != "open" and "recordings" in gate.closes_keys)
