"""How figures, times and verdicts read on a page. The words come from ``reading_words`` and ``wording``.

Each function is a filter of the templates by its own name: ``{{ reading | measured }}``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from typing import Any

from spindlewright import reading_words
from spindlewright.contract import reading_object
from spindlewright.readings.comparison import Comparison, NotCompared
from spindlewright.readings.reading import Reading
from spindlewright.wording import title, unit_in_words

NO_BREAK = "\u00a0"


def measured(reading: Reading) -> str:
    """Value, uncertainty and unit: ``−0.592 ± 0.095 %``, or ``under 0.003 %`` where only a bound is known."""
    return unbroken(reading_words.measured(reading_object(reading)))


def reading_title(reading: Reading) -> str:
    """The quantity in words, with its channel."""
    return title(reading.quantity, reading.channel)


def subject_title(subject: NotCompared | Comparison) -> str:
    """The quantity of a comparison in words, with its channel."""
    return title(subject.quantity, subject.channel)


def quantity_title(quantity: str, channel: str | None = None) -> str:
    """A quantity in words, with its channel."""
    return title(quantity, channel)


def limit_words(reading: Reading) -> str:
    """The limit in words with its unit; empty without one."""
    return unbroken(reading_words.limit_of(reading_object(reading)))


def verdict_words(reading: Reading) -> str:
    """``within``, ``outside`` or ``too close to call, because …``; empty without a limit."""
    return unbroken(reading_words.verdict_in_words(reading_object(reading)))


def when(moment: datetime | None) -> str:
    """Day and time on this computer's clock: ``25 Nov 2026, 14:05``."""
    return "" if moment is None else f"{day(moment)}, {moment.astimezone():%H:%M}"


def day(moment: datetime | None) -> str:
    """Day on this computer's clock: ``25 Nov 2026``."""
    if moment is None:
        return ""
    here = moment.astimezone()
    return f"{here.day} {_MONTHS[here.month - 1]} {here.year}".replace(" ", NO_BREAK)


def money(amount: Decimal | None, currency: str = "") -> str:
    """A sum with two places: ``35.00 EUR``; empty when nothing was agreed."""
    return "" if amount is None else f"{amount:.2f}{NO_BREAK}{currency}".rstrip()


def rpm_words(rpm: float) -> str:
    """A nominal speed by its name: 33⅓, 45, 78.

    >>> rpm_words(100 / 3), rpm_words(45.0), rpm_words(16.7)
    ('33⅓', '45', '16.7')
    """
    for name, value in (("16⅔", 50.0 / 3.0), ("33⅓", 100.0 / 3.0), ("45", 45.0), ("78", 3600.0 / 46.0)):
        if abs(rpm - value) < 0.01:
            return name
    return f"{rpm:.4g}"


def capital(words: str) -> str:
    """The first letter as a capital, the others as they are."""
    return words[:1].upper() + words[1:]


def unbroken(words: str) -> str:
    """Sentences in which a figure and its unit, and a figure and its uncertainty, stay on one line.

    >>> unbroken("about 1.6 % slow, 3 turns").replace(NO_BREAK, "_")
    'about 1.6_% slow, 3 turns'
    """
    return _FIGURE_AND_UNIT.sub(NO_BREAK, words)


_FIGURE_AND_UNIT = re.compile(r"(?<=\d) (?=(?:%|°|±|rpm|Hz|kHz|dB|dBFS|mm|g|mN|s|min|V|Ω)(?:\W|$))|(?<=±) ")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

FILTERS: dict[str, Callable[..., Any]] = {
    function.__name__: function
    for function in (
        measured,
        reading_title,
        quantity_title,
        subject_title,
        limit_words,
        verdict_words,
        when,
        day,
        money,
        rpm_words,
        capital,
        unbroken,
        unit_in_words,
    )
}
