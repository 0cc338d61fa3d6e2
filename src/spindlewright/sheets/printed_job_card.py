"""The printed job card: the seven stages with boxes for a pencil; what is known already is filled in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from spindlewright.readings.hand_readings import HAND_QUANTITIES
from spindlewright.readings.hand_readings import METHOD as BY_HAND
from spindlewright.sheets.from_job_card import day, deck_facts
from spindlewright.sheets.hand_rows import hand_figure
from spindlewright.sheets.numbered_cautions import CautionNumbers, NumberedCaution
from spindlewright.sheets.sheet_content import Labelled
from spindlewright.sheets.typesetting import typeset
from spindlewright.shop.as_views import money_words
from spindlewright.shop.function_list import FUNCTION_ANSWERS, TICK_ANSWERS
from spindlewright.shop.settings import ShopSettings
from spindlewright.shop.views.card import JobCard
from spindlewright.shop.views.recordings import ReadingView
from spindlewright.shop.views.stages import GateState, Stage

TEMPLATE = "job_card.typ"
COUNTED_TURNS = "speed_by_counted_turns"
ANSWER_WORDS = {"does_not_apply": "does not apply"}
EMPTY_RECORDINGS = 3
EMPTY_TASKS = {"work": 6, "set_up": 4}


@dataclass(frozen=True, slots=True)
class Box:
    """A box to tick, ticked already or not."""

    words: str
    ticked: bool = False


@dataclass(frozen=True, slots=True)
class AskedRow:
    """A question or a thing to try with its boxes, before and (where asked twice) after."""

    words: str
    boxes: tuple[Box, ...]
    boxes_after: tuple[Box, ...] = ()
    note: str = ""
    caution_numbers: str = ""


@dataclass(frozen=True, slots=True)
class GatePart:
    """One gate: a no closes what ``closes`` names."""

    title: str
    closes: str
    questions: tuple[AskedRow, ...]
    cautions: tuple[NumberedCaution, ...]


@dataclass(frozen=True, slots=True)
class HandBox:
    """One reading by hand: its unit is printed, the figure is written in by hand or filled in already."""

    title: str
    unit: str
    instrument: str
    before: str
    after: str
    caution_numbers: str


@dataclass(frozen=True, slots=True)
class TaskLine:
    """One task with its box; empty words are a line to write on."""

    words: str
    done: bool = False
    caution_numbers: str = ""


@dataclass(frozen=True, slots=True)
class CardContent:
    """All that stands on the printed job card."""

    job_number: str
    shop_name: str
    deck_title: str
    owner: str
    arrived: str
    facts: tuple[Labelled, ...]
    arrival: tuple[Labelled, ...]
    money: tuple[Labelled, ...]
    gates: tuple[GatePart, ...]
    hand: tuple[HandBox, ...]
    hand_cautions: tuple[NumberedCaution, ...]
    recordings_before: tuple[str, ...]
    recordings_after: tuple[str, ...]
    go_ahead: tuple[Box, ...]
    go_ahead_words: str
    work: tuple[TaskLine, ...]
    work_cautions: tuple[NumberedCaution, ...]
    set_up: tuple[TaskLine, ...]
    set_up_cautions: tuple[NumberedCaution, ...]
    functions: tuple[AskedRow, ...]
    soak: str
    soak_cautions: tuple[NumberedCaution, ...]
    listening: tuple[AskedRow, ...]
    handover: tuple[Labelled, ...]
    handover_cautions: tuple[NumberedCaution, ...]


def printed_job_card(card: JobCard, settings: ShopSettings, paper: str = "") -> bytes:
    """The job card of a job as a PDF to write on with a pencil. Raises SheetError."""
    return typeset(TEMPLATE, card_content(card, settings), paper or settings.paper)


def card_content(card: JobCard, settings: ShopSettings) -> CardContent:
    """What stands on the card, with all that is known already."""
    job = card.job
    kind = card.go_ahead.kind if card.go_ahead else ""
    numbers = CautionNumbers()
    return CardContent(
        job_number=job.number,
        shop_name=settings.shop_name,
        deck_title=card.deck.description,
        owner="the shop" if card.owner.is_shop else card.owner.name,
        arrived=day(job.arrived_at),
        facts=deck_facts(card),
        arrival=(
            Labelled("The owner said", job.complaint),
            Labelled("Condition", job.condition),
            Labelled("Brought with it", job.brought_with),
            Labelled("Missing", job.missing),
        ),
        money=tuple(
            Labelled(label, money_words(sum_, job.currency) if sum_ is not None else "")
            for label, sum_ in (("Look-over fee", job.look_over_fee), ("Stop sum", job.stop_sum))
        ),
        gates=tuple(_gate(gate, numbers) for gate in card.gates),
        hand=_hand_boxes(card, numbers),
        hand_cautions=numbers.told([*(f"hand.{key}" for key in HAND_QUANTITIES), f"hand.{COUNTED_TURNS}"]),
        recordings_before=_recordings(card, "before"),
        recordings_after=_recordings(card, "after"),
        go_ahead=(
            Box("owner says yes", kind == "owner_yes"),
            Box("owner says no", kind == "owner_no"),
            Box("shop's own deck", kind == "own_deck"),
        ),
        go_ahead_words=card.go_ahead.words if card.go_ahead else "",
        work=_tasks(card, "work", numbers),
        work_cautions=_task_cautions(
            card, "work", numbers, ("mains", "capacitor", "solvent", "rotating", "old-material")
        ),
        set_up=_tasks(card, "set_up", numbers),
        set_up_cautions=_task_cautions(card, "set_up", numbers, ("stylus", "magnet")),
        functions=tuple(
            AskedRow(
                one.words, _boxes(FUNCTION_ANSWERS, one.before), _boxes(FUNCTION_ANSWERS, one.after), one.note_after
            )
            for one in card.functions
        ),
        soak=" ".join(run.words for run in card.soak_runs),
        soak_cautions=numbers.told(["soak_run"]),
        listening=tuple(
            AskedRow(one.words, _boxes(TICK_ANSWERS, one.answer), note=one.note) for one in card.listening
        ),
        handover=_handover(card),
        handover_cautions=numbers.told(["handover.electrical_test"]),
    )


def _gate(gate: GateState, numbers: CautionNumbers) -> GatePart:
    told = numbers.told(one.step for one in gate.questions)
    questions = tuple(
        AskedRow(one.words, _boxes(one.answers, one.answer), note=one.note, caution_numbers=numbers.at(one.step))
        for one in gate.questions
    )
    return GatePart(gate.title, ", ".join(gate.closes), questions, told)


def _boxes(answers: Sequence[str], given: str | None) -> tuple[Box, ...]:
    return tuple(Box(ANSWER_WORDS.get(answer, answer), answer == given) for answer in answers)


def _task_cautions(
    card: JobCard, stage: Stage, numbers: CautionNumbers, tags: Sequence[str]
) -> tuple[NumberedCaution, ...]:
    """Those of the stage's usual dangers, and those of its tasks that the table knows."""
    return numbers.told([task.step for task in card.tasks if task.stage == stage and task.step], tags)


def _hand_boxes(card: JobCard, numbers: CautionNumbers) -> tuple[HandBox, ...]:
    by_hand = [view for view in card.readings if view.reading.method == BY_HAND and not view.withdrawn]
    boxes = []
    for row in HAND_QUANTITIES.values():
        for channel in ("left", "right") if row.by_channel else (None,):
            here = [v for v in by_hand if (v.reading.quantity, v.reading.channel) == (row.quantity, channel)]
            name = f"{row.title}, {channel}" if channel else row.title
            filled = (_newest(here, "before"), _newest(here, "after"))
            shown = numbers.at(f"hand.{row.quantity}")
            boxes.append(HandBox(name, row.shown_in, row.instrument, *filled, shown))
    counted = numbers.at(f"hand.{COUNTED_TURNS}")
    boxes.append(HandBox("Seconds for 10 turns", "s", "stopwatch, paper mark", "", "", counted))
    return tuple(boxes)


def _newest(views: Sequence[ReadingView], stage: Stage) -> str:
    found = [view for view in views if view.stage == stage]
    return hand_figure(found[-1].reading) if found else ""


def _recordings(card: JobCard, stage: Stage) -> tuple[str, ...]:
    """Names of the recordings there are, and why there are none; then lines to write on."""
    there = [capture.file_name for capture in card.captures_of(stage)]
    there += [view.words for view in card.no_recordings if view.stage == stage]
    return (*there, *[""] * max(1, EMPTY_RECORDINGS - len(there)))


def _tasks(card: JobCard, stage: Stage, numbers: CautionNumbers) -> tuple[TaskLine, ...]:
    there = [
        TaskLine(task.words, task.done_at is not None, numbers.at(task.step))
        for task in card.tasks
        if task.stage == stage
    ]
    return (*there, *[TaskLine("")] * max(2, EMPTY_TASKS[stage] - len(there)))


def _handover(card: JobCard) -> tuple[Labelled, ...]:
    given = card.handover
    price = money_words(given.price, given.currency) if given and given.price is not None else ""
    return (
        Labelled("Given to", given.to_whom if given else ""),
        Labelled("Price", price),
        Labelled("Left undone, and why", "; ".join(f"{one.what}: {one.why}" for one in card.left_undone)),
    )
