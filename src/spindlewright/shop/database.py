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

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event, inspect
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.orm import Session, UOWTransaction
from sqlalchemy.orm.exc import StaleDataError

from spindlewright.shop.errors import ChangedMeanwhile, ShopError
from spindlewright.shop.tables.base import AddedOnly

BUSY_TIMEOUT_MS = 10_000
"""How long a writer waits for another one."""
MIGRATION_LOCK = 0x5370696E
"""Key of PostgreSQL's advisory lock while tables are brought up to date."""


class Database:
    """One database by its SQLAlchemy address; tables are brought up to date when it is opened."""

    def __init__(self, url: str) -> None:
        try:
            self.engine = _engine(url)
            self._write_engine = self.engine.execution_options(spindlewright_begin="IMMEDIATE")
            migrate(self.engine)
        except (OperationalError, sqlite3.OperationalError) as problem:
            raise ShopError(
                f"The records can't be opened: {_words(problem)}. Look at --data, or at --database."
            ) from None

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session to read from; it sees one state of the records, and changes nothing."""
        with Session(self.engine, expire_on_commit=False) as session:
            yield session
            session.rollback()

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session to write with: committed at its end, or nothing of it at all."""
        try:
            with Session(self._write_engine, expire_on_commit=False) as session, session.begin():
                yield session
        except StaleDataError:
            raise ChangedMeanwhile("This record") from None
        except OperationalError as problem:
            raise ShopError(
                f"The records could not be written: {_words(problem)}. Nothing was changed; try again."
            ) from problem

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def _engine(url: str) -> Engine:
    if url.startswith("sqlite"):
        engine = create_engine(url, connect_args={"timeout": BUSY_TIMEOUT_MS / 1000.0})
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    return create_engine(url, pool_pre_ping=True)


def sqlite_url(file: Path) -> str:
    """The address of a SQLite file."""
    from sqlalchemy import URL

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


def migrations() -> Config:
    """Alembic's settings: the migrations lie in this package."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    return config


def migrate(engine: Engine, revision: str = "head") -> None:
    """Bring the tables to ``revision``, when they are not there already; several programs may do so at once."""
    script = ScriptDirectory.from_config(migrations())
    with engine.connect() as connection:
        current = MigrationContext.configure(connection).get_current_revision()
    if current is not None and current not in {step.revision for step in script.walk_revisions()}:
        raise ShopError(
            f"The records were written by a newer Spindlewright (their tables are at {current}). "
            "Use that one, or newer."
        )
    if revision == "head" and current == script.get_current_head():
        return
    with engine.execution_options(spindlewright_begin="IMMEDIATE").begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({MIGRATION_LOCK})")
        config = migrations()
        config.attributes["connection"] = connection
        now = MigrationContext.configure(connection).get_current_revision()
        if revision == "head" or now is None or _is_below(script, now, revision):
            command.upgrade(config, revision)
        else:
            command.downgrade(config, revision)


def _is_below(script: ScriptDirectory, current: str, wanted: str) -> bool:
    above = {step.revision for step in script.iterate_revisions("head", current)}
    return wanted in above


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
