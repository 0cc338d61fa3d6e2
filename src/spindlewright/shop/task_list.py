"""Pieces of work that nearly every deck wants, as data: offered on the job card, each with its cautions.

A shop may word a task of its own as well. Source: trade practice 1.6 and 1.7 (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spindlewright.standards.cautions import Caution, cautions_for


@dataclass(frozen=True, slots=True)
class TaskTemplate:
    """``drives`` are the drives it is for (empty: any). ``tags`` are its dangers (``standards/cautions``)."""

    key: str
    stage: Literal["work", "set_up"]
    words: str
    tags: tuple[str, ...] = ()
    drives: tuple[str, ...] = ()

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to beware of."""
        return cautions_for(f"task.{self.key}", self.tags) if self.tags else ()


TASKS: tuple[TaskTemplate, ...] = (
    TaskTemplate("clean_outside", "work", "Clean plinth, lid and mat", ("solvent",)),
    TaskTemplate("clean_controls", "work", "Clean switches, trims and contacts", ("mains", "solvent")),
    TaskTemplate(
        "belt_path", "work", "Clean the belt path: pulley, hub, platter", ("mains", "solvent", "rotating"), ("belt",)
    ),
    TaskTemplate("belt_new", "work", "Fit a new belt", ("mains", "rotating", "old-material"), ("belt",)),
    TaskTemplate(
        "pulley", "work", "Change the pulley for that of the mains here", ("mains", "rotating"), ("belt", "idler")
    ),
    TaskTemplate(
        "clean_idler",
        "work",
        "Clean idler, motor step and platter rim; no oil on any of them",
        ("mains", "solvent", "rotating"),
        ("idler",),
    ),
    TaskTemplate("idler_true", "work", "True or renew the idler", ("mains", "rotating"), ("idler",)),
    TaskTemplate("main_bearing", "work", "Clean the platter bearing and oil it anew", ("solvent", "rotating")),
    TaskTemplate(
        "motor_bearing", "work", "Oil the motor bearings, sparingly", ("mains", "rotating"), ("belt", "idler")
    ),
    TaskTemplate(
        "old_grease", "work", "Take out old grease; grease cams and slides, the trip stays dry", ("mains", "solvent")
    ),
    TaskTemplate("arm_bearings", "work", "Free the arm: bearings, lead-out wires, lift", ("stylus",)),
    TaskTemplate("tag_wires", "work", "Renew or put right the tag wires at the headshell", ("stylus",)),
    TaskTemplate("stylus_new", "work", "Fit a new stylus", ("stylus",)),
    TaskTemplate("cartridge_new", "work", "Fit and wire a cartridge", ("stylus", "magnet")),
    TaskTemplate("earth", "work", "Put right the signal earth from arm to lead", ("mains",)),
    TaskTemplate("deck_level", "set_up", "Set the deck level"),
    TaskTemplate("balance", "set_up", "Balance the arm, anti-skate at zero", ("stylus",)),
    TaskTemplate("tracking_force", "set_up", "Set the tracking force with the scale", ("stylus", "magnet")),
    TaskTemplate("alignment", "set_up", "Align the cartridge on the grid, nip the screws, grid again", ("stylus",)),
    TaskTemplate("arm_height", "set_up", "Set the arm height; grid and force again", ("stylus",)),
    TaskTemplate("azimuth", "set_up", "Set the headshell upright, then by crosstalk", ("stylus",)),
    TaskTemplate("anti_skate", "set_up", "Set the anti-skate", ("stylus",)),
    TaskTemplate("speed", "set_up", "Set the speed warm, with the stylus in the groove", ("mains", "rotating")),
)


def tasks_for(drive: str, stage: str) -> tuple[TaskTemplate, ...]:
    """What is offered for a deck of this drive at this stage.

    >>> [task.key for task in tasks_for("idler", "work") if "idler" in task.key]
    ['clean_idler', 'idler_true']
    """
    return tuple(
        task
        for task in TASKS
        if task.stage == stage and (not task.drives or drive in task.drives or drive == "unknown")
    )


def template_of(key: str) -> TaskTemplate | None:
    """The template of that key."""
    return next((task for task in TASKS if task.key == key), None)
