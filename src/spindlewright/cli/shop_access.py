"""This shop's records for commands: opening them, and its answers as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

if TYPE_CHECKING:
    from spindlewright.shop.store import Shop

JobNumber = Annotated[str, Parameter(help='Number of the job, as "spindlewright job list" prints it.')]


@contextmanager
def opened_shop(data: Path | None) -> Iterator[Shop]:
    """The shop in ``data`` (default: the user data folder), closed at the end."""
    from spindlewright.shop.store import Shop

    with Shop.open(data) as shop:
        yield shop


def json_line(view: Any) -> str:
    """One answer of the shop as one line of JSON: times in ISO 8601 (UTC), sums as text with two decimals."""
    from spindlewright.contract import to_json_line

    return to_json_line(as_plain(view)) + "\n"


def as_plain(value: Any) -> Any:
    """``value`` in what JSON knows."""
    from spindlewright.contract import plain

    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value:.2f}"
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: as_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): as_plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_plain(item) for item in value]
    return plain(value)
