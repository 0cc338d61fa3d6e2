"""Work and set-up: tasks planned and done. Neither opens without the go-ahead."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.shop import accepted
from spindlewright.shop.as_views import task_view
from spindlewright.shop.errors import NotFound
from spindlewright.shop.go_ahead import need_go_ahead
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_row, open_job, summarise
from spindlewright.shop.tables.jobs import Job
from spindlewright.shop.tables.work import TaskDone
from spindlewright.shop.views.work import TaskView

TASK_STAGES = ("work", "set_up")


@dataclass(frozen=True, slots=True)
class NewTask:
    """One piece of work. ``template`` is the key of a task template (its cautions are known by it), ``parts`` what
    was used, ``result`` what came of it; ``done`` False only plans it."""

    words: str
    stage: str = "work"
    template: str = ""
    parts: str = ""
    result: str = ""
    done: bool = True


def add_task(shop: Shop, number: str, task: NewTask) -> TaskView:
    """Write down a task as done, or plan it."""
    accepted.choice("stage", task.stage, TASK_STAGES)
    with shop.writing() as session:
        job = open_job(session, number)
        need_go_ahead(session, job, "Work" if task.stage == "work" else "Set-up")
        now = shop.now()
        row = TaskDone(
            job_id=job.id,
            stage=task.stage,
            words=accepted.text("task", task.words, needed=True),
            template=accepted.line("template", task.template),
            parts=accepted.text("parts", task.parts),
            result=accepted.text("result", task.result),
            planned_at=now,
            done_at=now if task.done else None,
        )
        session.add(row)
        summarise(shop, session, job)
        return task_view(row)


def task_done(shop: Shop, task_id: int, result: str = "", parts: str = "", *, done: bool = True) -> TaskView:
    """Tick a planned task (or with ``done`` False take the tick away)."""
    with shop.writing() as session:
        row = find_row(session, TaskDone, task_id, "task")
        job = open_job(session, session.get_one(Job, row.job_id).number)
        need_go_ahead(session, job, "Work" if row.stage == "work" else "Set-up")
        row.done_at = shop.now() if done else None
        row.result = accepted.text("result", result) or row.result
        row.parts = accepted.text("parts", parts) or row.parts
        summarise(shop, session, job)
        return task_view(row)


def drop_task(shop: Shop, task_id: int) -> None:
    """Take away a task that is only planned. One that was done stays: NotFound."""
    with shop.writing() as session:
        row = find_row(session, TaskDone, task_id, "task")
        if row.done_at is not None:
            raise NotFound(f"Task {task_id} is not only planned. A task that was done stays on the card.")
        job = open_job(session, session.get_one(Job, row.job_id).number)
        session.delete(row)
        summarise(shop, session, job)
