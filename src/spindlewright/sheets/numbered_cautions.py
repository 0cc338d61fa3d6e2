"""Cautions of a printed card by number: told in full where a stage begins, referred to by number at each step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from spindlewright.standards.cautions import UnknownStepError, cautions_for


@dataclass(frozen=True, slots=True)
class NumberedCaution:
    """One caution of the table under its number on this card."""

    number: str
    words: str


class CautionNumbers:
    """Gives each caution its number the first time it is needed; the same caution keeps its number.

    >>> numbers = CautionNumbers()
    >>> numbers.at("gate.play.tip"), [one.number for one in numbers.told(["gate.play.force"])]
    ('1', ['1', '2'])
    """

    def __init__(self) -> None:
        self._numbers: dict[str, str] = {}

    def at(self, step: str) -> str:
        """Numbers of what one step must show, ``1, 3``; empty for a task that the table does not know."""
        return ", ".join(one.number for one in self.told([step] if step else []))

    def told(self, steps: Iterable[str], tags: Sequence[str] = ()) -> tuple[NumberedCaution, ...]:
        """What these steps and tags must show, each once, by number."""
        texts: dict[str, None] = {}
        for step in steps:
            try:
                texts.update(dict.fromkeys(one.text for one in cautions_for(step)))
            except UnknownStepError:  # a task that the shop worded itself
                continue
        if tags:
            texts.update(dict.fromkeys(one.text for one in cautions_for(tuple(tags))))
        found = [NumberedCaution(self._numbers.setdefault(text, str(len(self._numbers) + 1)), text) for text in texts]
        return tuple(sorted(found, key=lambda one: int(one.number)))
