"""The shop opened: its records, its files, its clock."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy.orm import Session

from spindlewright.shop.database import Database, sqlite_url
from spindlewright.shop.errors import ShopError
from spindlewright.shop.file_store import FileStore

RECORDS = "records.sqlite3"
Clock = Callable[[], datetime]


class Shop:
    """One shop's records. Use as a context manager, or ``close()`` it; several threads may use one."""

    def __init__(self, folder: Path, database: Database, clock: Clock) -> None:
        self.folder = folder
        self.database = database
        self.files = FileStore(folder / "files")
        self._clock = clock

    @classmethod
    def open(
        cls, data: str | os.PathLike[str] | None = None, url: str | None = None, *, clock: Clock | None = None
    ) -> Shop:
        """The shop whose data lie in the folder ``data`` (default: the platform's user data folder), made when it is
        not there. ``url`` is the SQLAlchemy address of a database to use instead of the file in that folder; files
        stay in the folder, so benches that share a database share the folder too. Raises ShopError with one line."""
        folder = Path(data) if data is not None else default_folder()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            database = Database(url or sqlite_url(folder.absolute() / RECORDS))
            return cls(folder, database, clock or _utc_now)
        except OSError as problem:
            raise ShopError(
                f"The folder {folder} can't be used: {problem.strerror or problem}. Choose another with --data."
            ) from None

    def reading(self) -> AbstractContextManager[Session]:
        """A session that only reads."""
        return self.database.reading()

    def writing(self) -> AbstractContextManager[Session]:
        """A session that is committed at its end."""
        return self.database.writing()

    def now(self) -> datetime:
        """The time, in UTC."""
        return self._clock()

    def close(self) -> None:
        self.database.close()

    def __enter__(self) -> Shop:
        return self

    def __exit__(self, *problem: object) -> None:
        self.close()


def default_folder() -> Path:
    """Where this user's shop lies when nothing else is said."""
    from platformdirs import user_data_path

    return user_data_path("spindlewright", appauthor=False)


def _utc_now() -> datetime:
    return datetime.now(UTC)
