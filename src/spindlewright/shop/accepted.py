"""Checking what was typed: one rule each, NotAccepted with the field's name when it is not kept."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from decimal import Decimal, InvalidOperation

from spindlewright.shop.errors import NotAccepted

LONGEST_LINE, LONGEST_TEXT = 200, 10_000
MOST_WORDS, LONGEST_SEARCH = 8, 400
LARGEST_SUM = Decimal("1000000")


def line(field: str, text: str, *, needed: bool = False) -> str:
    """One line, spaces tidied; empty only when not ``needed``."""
    tidy = " ".join(without_controls(text).split())
    if needed and not tidy:
        raise NotAccepted(field, "nothing", f"1 to {LONGEST_LINE} signs", "type it")
    if len(tidy) > LONGEST_LINE:
        raise NotAccepted(field, f"{len(tidy)} signs", f"up to {LONGEST_LINE} signs", "shorten it")
    return tidy


def text(field: str, words: str, *, needed: bool = False) -> str:
    """Several lines of text."""
    tidy = without_controls(words.replace("\r\n", "\n")).strip()
    if needed and not tidy:
        raise NotAccepted(field, "nothing", f"1 to {LONGEST_TEXT} signs", "type it")
    if len(tidy) > LONGEST_TEXT:
        raise NotAccepted(field, f"{len(tidy)} signs", f"up to {LONGEST_TEXT} signs", "shorten it")
    return tidy


def search_words(typed: str) -> list[str]:
    """The words to look for, in small letters: the first ``MOST_WORDS`` of the first ``LONGEST_SEARCH`` signs."""
    return without_controls(typed[:LONGEST_SEARCH]).casefold().split()[:MOST_WORDS]


def without_controls(words: str) -> str:
    """Without control signs (line ends and tabs stay), which no database and no sheet can hold."""
    return "".join(sign for sign in words if sign in "\n\t" or not _is_control(sign))


def choice(field: str, value: str, allowed: Sequence[str]) -> str:
    """One of ``allowed``."""
    if value not in allowed:
        raise NotAccepted(field, repr(value), ", ".join(allowed), "choose one of these")
    return value


def number(field: str, value: float, low: float, high: float, unit: str) -> float:
    """A finite number from ``low`` to ``high``."""
    if not math.isfinite(value) or not low <= value <= high:
        raise NotAccepted(field, f"{value:g} {unit}".strip(), f"{low:g} to {high:g} {unit}".strip(), "type it again")
    return float(value)


def money(field: str, amount: Decimal | int | str | None) -> Decimal | None:
    """A sum from 0 up, at most two decimals; decimal comma accepted; None and empty stay None."""
    if amount is None or (isinstance(amount, str) and not amount.strip()):
        return None
    allowed = "a sum from 0 up with at most two decimals, like 80 or 79,50"
    try:
        value = Decimal(str(amount).strip().replace(",", "."))
    except InvalidOperation:
        raise NotAccepted(field, repr(amount), allowed, "type it again") from None
    if not value.is_finite() or not 0 <= value <= LARGEST_SUM or value != round(value, 2):
        raise NotAccepted(field, str(amount), allowed, "type it again")
    return round(value, 2)


def moment(field: str, at: datetime | None, now: datetime) -> datetime:
    """A time in UTC, ``now`` when not given; one without a zone is this computer's; not in the future."""
    if at is None:
        return now
    aware = at.astimezone(UTC)
    if aware > now + timedelta(days=1) or aware.year < 1950:
        raise NotAccepted(field, at.isoformat(sep=" ", timespec="minutes"), "a time up to now", "look at the date")
    return aware


def _is_control(sign: str) -> bool:
    return ord(sign) < 32 or 127 <= ord(sign) < 160 or 0xD800 <= ord(sign) < 0xE000
