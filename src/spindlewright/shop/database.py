"""The database behind the shop: one engine, short sessions, the newest tables.

SQLite (the default) keeps every acknowledged change through a pulled plug (``synchronous=FULL``, write-ahead log).
A writing session begins with ``BEGIN IMMEDIATE``: reading first and writing then in one deferred transaction fails at
once when another writes meanwhile. Readers are never held up. Keep the file on a local disk.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.orm import Session, UOWTransaction
from sqlalchemy.orm.exc import StaleDataError

from spindlewright.shop.errors import ChangedMeanwhile, ShopError
from spindlewright.shop.revision import revision_of
from spindlewright.shop.tables.base import AddedOnly

BUSY_TIMEOUT_MS = 10_000
"""How long a writer waits for another one."""
NEWEST_TABLES = "0003"
"""The newest step of ``migrations/``; a shop whose tables are there is opened without loading what migrates."""


class Database:
    """One database by its SQLAlchemy address; tables are brought up to date when it is opened."""

    def __init__(self, url: str) -> None:
        try:
            self.engine = engine_for(url)
        except (ArgumentError, ImportError) as problem:
            raise ShopError(f"The records can't be opened: {_words(problem)}. Look at --database.") from None
        self._write_engine = self.engine.execution_options(spindlewright_begin="IMMEDIATE")
        try:
            if revision_of(self.engine) != NEWEST_TABLES:
                from spindlewright.shop.migrating import migrate

                migrate(self.engine)
        except (DBAPIError, sqlite3.Error) as problem:
            self.close()
            raise ShopError(
                f"The records can't be opened: {_words(problem)}. Look at --data, or at --database."
            ) from None
        except ShopError:
            self.close()
            raise

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session to read from; it sees one state of the records, and changes nothing."""
        try:
            with Session(self.engine, expire_on_commit=False) as session:
                yield session
        except DBAPIError as problem:
            raise ShopError(f"The records could not be read: {_words(problem)}. Try again.") from problem

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session to write with: committed at its end, or nothing of it at all."""
        try:
            with Session(self._write_engine, expire_on_commit=False) as session, session.begin():
                yield session
        except StaleDataError:
            raise ChangedMeanwhile("This record") from None
        except DBAPIError as problem:
            raise ShopError(
                f"The records could not be written: {_words(problem)}. Nothing was changed; try again."
            ) from problem

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def engine_for(url: str) -> Engine:
    """An engine with this house's settings."""
    if url.startswith("sqlite"):
        engine = create_engine(url, connect_args={"timeout": BUSY_TIMEOUT_MS / 1000.0})
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    return create_engine(url, pool_pre_ping=True)


def sqlite_url(file: Path) -> str:
    """The address of a SQLite file."""
    return URL.create("sqlite", database=str(file)).render_as_string()


def _prepare_sqlite(connection: Any, record: Any) -> None:
    connection.isolation_level = None
    cursor = connection.cursor()
    for pragma in (
        f"busy_timeout={BUSY_TIMEOUT_MS}",
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
    ):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    kind = connection.get_execution_options().get("spindlewright_begin", "DEFERRED")
    connection.exec_driver_sql(f"BEGIN {kind}")


@event.listens_for(Session, "before_flush")
def _refuse_changes_of_what_is_only_added(session: Session, context: UOWTransaction, instances: Any) -> None:
    for row in session.deleted:
        if isinstance(row, AddedOnly):
            raise TypeError(f"{type(row).__name__} rows are only ever added, never taken away")
    for row in session.dirty:
        if isinstance(row, AddedOnly) and session.is_modified(row) and inspect(row).persistent:
            raise TypeError(f"{type(row).__name__} rows are only ever added, never changed")


def _words(problem: Exception) -> str:
    cause = problem.orig if isinstance(problem, DBAPIError) and problem.orig is not None else problem
    return " ".join(str(cause).split()).rstrip(".") or type(cause).__name__
