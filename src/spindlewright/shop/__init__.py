"""The shop's records: decks, owners, jobs, recordings, readings and what was done, kept and never lost.

One database (embedded SQLite, or PostgreSQL for several benches) and one folder of files beside it. The services are
plain functions, one subject a module, whose first argument is the ``Shop``; they take and give frozen dataclasses
(``shop/views/``), never rows of the database.

    >>> import tempfile
    >>> from spindlewright.shop import Shop
    >>> from spindlewright.shop.arrival import NewJob, new_job
    >>> with tempfile.TemporaryDirectory() as folder, Shop.open(folder) as shop:
    ...     number = new_job(shop, NewJob(deck="belt deck, unit 3", complaint="plays too slow"))
    >>> number[4:]
    '-0001'
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from spindlewright.shop.store import Shop

__all__ = ["Shop"]


def __getattr__(name: str) -> Any:
    """``Shop`` on first use: the room's small modules can be imported without loading a database library."""
    if name == "Shop":
        from spindlewright.shop.store import Shop

        return Shop
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
