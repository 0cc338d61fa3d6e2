"""One chart: what it is called, what it says, its drawing, and the table behind it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from spindlewright.wording import figures

JsonObject = Mapping[str, Any]
"""A stored measurement, curve or reading as ``contract.py`` makes it."""

ReadOutKind = Literal["along", "rows", "map", "none"]
NOT_SEEN = "–"
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:%|(?:Hz|dB|dBFS|s|rpm|mm)\b))")


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a chart's table.

    ``values`` are numbers in ``unit``, words, or None where there is nothing; numbers are shown with ``decimals``
    places, with a plus when ``signed``.
    """

    name: str
    unit: str
    values: tuple[float | str | None, ...]
    decimals: int = 2
    signed: bool = False

    @property
    def heading(self) -> str:
        """Name and unit, ``Time, s``."""
        return f"{self.name}, {self.unit}" if self.unit else self.name

    @property
    def texts(self) -> tuple[str, ...]:
        """The values as shown.

        >>> Column("Level", "dB", (-53.214, None, "not seen"), 1).texts
        ('−53.2', '–', 'not seen')
        """
        return tuple(
            NOT_SEEN if v is None else v if isinstance(v, str) else figures(v, self.decimals, self.signed)
            for v in self.values
        )

    @property
    def is_words(self) -> bool:
        """True for a column of words, which is set flush left."""
        return any(isinstance(value, str) for value in self.values)


@dataclass(frozen=True, slots=True)
class ReadOut:
    """Where the rows of the table are in the drawing, for a cross-hair.

    ``at`` has one place for each row, ``across`` one for each column after the first (maps only), as shares of the
    plot
    from its left edge, or from its top edge for rows that lie one below the other. ``along``: rows follow each other
    from left to right. ``rows``: from top to bottom. ``map``: rows from top to bottom, columns from left to right.
    """

    kind: ReadOutKind = "none"
    at: tuple[float, ...] = ()
    across: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing with its sentence and its table.

    ``svg`` is for a width of 720 px or a sheet, ``narrow_svg`` for a telephone, with letters of the same size; empty
    when it was not asked for or is not needed. ``sentence`` says what the drawing shows, with its figures.
    """

    name: str
    title: str
    sentence: str
    svg: str
    narrow_svg: str
    columns: tuple[Column, ...]
    read_out: ReadOut = field(default_factory=ReadOut)
    note: str = ""

    @property
    def unbroken_sentence(self) -> str:
        """The sentence with no line break between a number and its unit, for a page."""
        return _NUMBER_AND_UNIT.sub("\u00a0", self.sentence)

    @property
    def rows(self) -> tuple[tuple[str, ...], ...]:
        """The table by rows, as shown."""
        return tuple(zip(*(column.texts for column in self.columns), strict=True))


@dataclass(frozen=True, slots=True)
class Wanted:
    """How charts are wanted.

    ``prefix`` keeps the ids of two drawings of one kind apart on one page; ``narrow`` asks for the second drawing,
    which a sheet does not need. ``alongside`` is the stored measurement drawn beside this one: the scales then hold
    both, so that the eye may compare.
    """

    prefix: str = ""
    narrow: bool = True
    alongside: JsonObject | None = None


FOR_A_PAGE = Wanted()
FOR_A_SHEET = Wanted(narrow=False)
