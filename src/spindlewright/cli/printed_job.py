"""A job card as printed lines: the next step first, then stages, closed gates, what was read, what was done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from spindlewright.cli.paper import ACCENT, INDENT, QUIET, Paper
from spindlewright.cli.printed_readings import print_reading, print_readings
from spindlewright.standards.cautions import caution
from spindlewright.wording import counted

if TYPE_CHECKING:
    from spindlewright.shop.views.card import JobCard
    from spindlewright.shop.views.stages import Stage, StageState

READ_STAGES: tuple[tuple[Stage, str], ...] = (("before", "Before"), ("after", "After"))


def print_job(paper: Paper, card: JobCard) -> None:
    """The whole card."""
    _print_head(paper, card)
    paper.paragraph(f"Next: {card.next_step.words}", style="bold", indent="")
    paper.heading("Stages")
    for stage in card.stages:
        _print_stage(paper, stage)
    _print_gates(paper, card)
    for key, title in READ_STAGES:
        _print_read(paper, card, key, title)
    if card.comparisons:
        paper.heading("Before against after")
        for comparison in card.comparisons:
            paper.paragraph(comparison.sentence)
    _print_done(paper, card)
    paper.line()


def _print_head(paper: Paper, card: JobCard) -> None:
    job, deck, owner = card.job, card.deck, card.owner
    serial = f", serial {deck.serial}" if deck.serial else ""
    whose = "the shop's own deck" if owner.is_shop else owner.name or "no owner written down"
    paper.rule()
    paper.line(Text.assemble((f"Job {job.number}", ACCENT), "  ", (deck.description, "bold"), (serial, QUIET)))
    paper.line(Text(f"{whose}; arrived on {job.arrived_at.date().isoformat()}", style=QUIET))
    paper.rule()
    if job.complaint:
        paper.paragraph(f"“{job.complaint}”", indent="")


def _print_stage(paper: Paper, stage: StageState) -> None:
    said = "; ".join(words for words in (stage.summary, stage.why) if words)
    row = f"{INDENT}{stage.title:<10}{stage.state:<8}"
    paper.paragraph(said or "nothing yet", style=ACCENT if stage.state == "now" else "", indent=" " * 20, first=row)


def _print_gates(paper: Paper, card: JobCard) -> None:
    closed = [gate for gate in card.gates if gate.state == "closed"]
    if not closed:
        return
    paper.heading("Closed gates")
    for gate in closed:
        paper.paragraph(f"{gate.title} No, because {gate.why}. To open: {gate.opens_with}.", style=ACCENT)
        paper.paragraph(f"Closed until then: {', '.join(gate.closes)}.", style=QUIET)


def _print_read(paper: Paper, card: JobCard, key: Stage, title: str) -> None:
    headline, moves = card.headlines.get(key), card.moves.get(key, ())
    if headline is not None or moves:
        paper.heading(title)
    if headline is not None:
        paper.paragraph(headline.sentence, style="bold")
    for move in moves:
        paper.paragraph(f"Next move: {move.sentence} Because {move.because}.")
        for caution_id in move.cautions:
            paper.paragraph(f"Caution: {caution(caution_id).text}", style=QUIET, indent=" " * 6)
    readings = card.readings_of(key)
    by_hand = [dict(view.json_object) for view in readings if view.capture_id is None]
    if by_hand:
        paper.heading(f"{title}, by hand")
        for reading in by_hand:
            print_reading(paper, reading)
    measured = [capture for capture in card.captures_of(key) if capture.measurement is not None]
    if not measured:
        return
    newest = measured[-1]
    which = f", the newest of {counted(len(measured), 'recording')}" if len(measured) > 1 else ""
    paper.heading(f"{title}: {newest.file_name}{which}")
    print_readings(paper, [dict(view.json_object) for view in readings if view.capture_id == newest.id])


def _print_done(paper: Paper, card: JobCard) -> None:
    done = [task for task in card.tasks if task.done_at is not None]
    if done:
        paper.heading("Done")
        for task in done:
            paper.paragraph(task.words + (f" ({task.parts})" if task.parts else ""))
    if card.left_undone:
        paper.heading("Left undone")
        for left in card.left_undone:
            paper.paragraph(f"{left.what}, because {left.why}")
