"""The one table of cautions: what can hurt at a step, in words, with its source.

Page, command, sheet and printed card draw from ``cautions.toml`` beside this module and never word a caution
themselves. Cautions defer to local codes and licensed practice. Status of all rows: common practice, no source, or
from memory, as each says.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Collection
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from importlib import resources
from typing import Any

TAGS = ("mains", "capacitor", "solvent", "rotating", "stylus", "magnet", "old-material")
"""What a step may carry."""


@dataclass(frozen=True, slots=True)
class Caution:
    """``basic`` ones are shown at every step with one of their tags; ``steps`` are keys (``*`` stands for anything) of
    further steps that show it."""

    id: str
    tags: tuple[str, ...]
    text: str
    source: str
    basic: bool = False
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the job that carries a danger: ``gate.GATE.QUESTION``, ``hand.QUANTITY``, ``move.MOVE`` …"""

    key: str
    tags: tuple[str, ...]


class UnknownStepError(KeyError):
    """A step, tag or caution that the table does not have."""

    def __str__(self) -> str:
        return str(self.args[0])


@cache
def _table() -> dict[str, Any]:
    text = (resources.files("spindlewright.standards") / "cautions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Every caution, in the order of the table."""
    return tuple(
        Caution(
            row["id"],
            tuple(row["tags"]),
            row["text"],
            row["source"],
            bool(row.get("basic", False)),
            tuple(row.get("steps", ())),
        )
        for row in _table()["caution"]
    )


@cache
def steps() -> dict[str, Step]:
    """Every step of the table that carries a danger, by key."""
    return {row["key"]: Step(row["key"], tuple(row["tags"])) for row in _table()["step"]}


def caution(caution_id: str) -> Caution:
    """The caution of that id; raises UnknownStepError.

    >>> caution("mains-protective-earth").text
    'Never lift the protective earth, not even for a moment and not to cure hum. Break a loop in the signal leads.'
    """
    for one in all_cautions():
        if one.id == caution_id:
            return one
    raise UnknownStepError(_unknown("caution", caution_id, [one.id for one in all_cautions()]))


def cautions_for(step: str | Collection[str], tags: Collection[str] = ()) -> tuple[Caution, ...]:
    """What a step must show: the basic caution of each of its tags, then those that name the step.

    ``step`` is the key of a step in the table, one tag, or several tags. A step that the table does not list (a task
    the shop worded itself) gives its ``tags``; without any it may still match a wildcard. Raises UnknownStepError for
    a step that is neither listed, nor tagged, nor matched, and for unknown tags.

    >>> [one.id for one in cautions_for("hand.tracking_force")]
    ['stylus-guard', 'magnet-pull', 'stylus-plate', 'magnet-scale']
    >>> [one.id for one in cautions_for({"solvent"})]
    ['solvent-air']
    """
    if isinstance(step, str):
        if step in TAGS and not tags:
            return _shown("", (step,))
        known = steps().get(step)
        carried = tuple(dict.fromkeys((*(known.tags if known else ()), *tags)))
        shown = _shown(step, carried)
        if known is None and not shown:
            raise UnknownStepError(_unknown("step", step, [*steps(), *TAGS]))
        return shown
    return _shown("", tuple(step))


def _shown(step: str, tags: tuple[str, ...]) -> tuple[Caution, ...]:
    for tag in tags:
        if tag not in TAGS:
            raise UnknownStepError(_unknown("tag", tag, list(TAGS)))
    basic = [one for one in all_cautions() if one.basic and set(one.tags) & set(tags)]
    named = [one for one in all_cautions() if not one.basic and any(fnmatchcase(step, key) for key in one.steps)]
    return (*basic, *named)


def _unknown(kind: str, found: str, known: list[str]) -> str:
    near = difflib.get_close_matches(found, known, n=1)
    hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(known)}"
    return f"cautions: found no {kind} '{found}'; {hint}"
