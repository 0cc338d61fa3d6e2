"""Whether a folder holds the demonstration shop already. Light, so that the second start is quick."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

MARK = "demonstration.json"
"""A file of this name says that a folder holds the demonstration shop, and which jobs it began with."""


@dataclass(frozen=True, slots=True)
class Demonstration:
    """The shop that was made, or was there already: its folder and the numbers of its three jobs."""

    folder: Path
    numbers: tuple[str, ...]
    made_now: bool


def made_already(folder: Path) -> Demonstration | None:
    """The demonstration shop in ``folder``, None when there is none."""
    folder = folder.absolute()
    mark = folder / MARK
    if not mark.is_file():
        return None
    try:
        numbers = tuple(json.loads(mark.read_text(encoding="utf-8"))["jobs"])
    except (OSError, ValueError, KeyError, TypeError):
        numbers = ()
    return Demonstration(folder, numbers, made_now=False)


def mark_made(folder: Path, numbers: list[str]) -> None:
    """Say in ``folder`` that it holds the demonstration shop."""
    (folder / MARK).write_text(json.dumps({"jobs": numbers}) + "\n", encoding="utf-8")
