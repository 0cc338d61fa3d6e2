"""What was typed into a form, as the services want it. What can't be read is told with the name of its field."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from fastapi import Form

from spindlewright.shop.errors import NotAccepted
from spindlewright.typed_numbers import number, rpm

Text = Annotated[str, Form()]
Number = Annotated[int, Form()]
Ticked = Annotated[bool, Form()]
Texts = Annotated[list[str], Form()]


def number_or_none(field: str, typed: str) -> float | None:
    """A number with decimal comma or point; None when nothing was typed."""
    if not typed.strip():
        return None
    try:
        return number(typed)
    except ValueError as problem:
        raise NotAccepted.whole(field, f"{field}: {problem}.") from None


def rpm_or_none(field: str, typed: str) -> float | None:
    """A speed like 33, 45, 78 or 77,922; None when nothing was chosen."""
    if not typed.strip():
        return None
    try:
        return rpm(typed)
    except ValueError as problem:
        raise NotAccepted.whole(field, f"{field}: {problem}.") from None


def moment_or_none(field: str, typed: str) -> datetime | None:
    """Date and time of an input of the type ``datetime-local``, on this computer's clock; None when empty."""
    if not typed.strip():
        return None
    try:
        return datetime.fromisoformat(typed.strip())
    except ValueError:
        raise NotAccepted(field, repr(typed[:40]), "a date and time like 2026-11-25 14:05", "type it again") from None
