"""The tables: migrations up, down and up again, nothing forgotten, on both databases."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, inspect, text

from spindlewright.shop.database import NEWEST_TABLES, Database, engine_for
from spindlewright.shop.errors import ShopError
from spindlewright.shop.migrating import migrate, migrations
from spindlewright.shop.revision import revision_of
from spindlewright.shop.store import Shop
from spindlewright.shop.tables import everything
from spindlewright.shop.tables.base import Table

assert everything


def tables_of(engine: Engine) -> set[str]:
    return set(inspect(engine).get_table_names()) - {"alembic_version"}


def test_migrations_go_up_down_and_up_again(database_url: str) -> None:
    engine = engine_for(database_url)
    for revision, expected in (("head", set(Table.metadata.tables)), ("base", set()), ("head", None), ("0001", None)):
        migrate(engine, revision)
        if expected is not None:
            assert tables_of(engine) == expected
    migrate(engine)
    engine.dispose()


def test_the_migrated_tables_are_those_of_the_models(database_url: str) -> None:
    database = Database(database_url)
    with database.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "render_as_batch": True})
        assert compare_metadata(context, Table.metadata) == []
    database.close()


def test_two_programs_may_open_a_new_shop_at_once(database_url: str) -> None:
    from threading import Thread

    problems: list[Exception] = []

    def opens() -> None:
        try:
            Database(database_url).close()
        except Exception as problem:
            problems.append(problem)

    threads = [Thread(target=opens) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert problems == []


def test_the_newest_step_is_the_one_named() -> None:
    assert ScriptDirectory.from_config(migrations()).get_current_head() == NEWEST_TABLES


def test_an_older_shop_is_brought_up_to_date_when_opened(database_url: str) -> None:
    engine = engine_for(database_url)
    migrate(engine, "0001")
    Database(database_url).close()
    assert revision_of(engine) == NEWEST_TABLES
    engine.dispose()


def test_a_shop_of_a_newer_program_is_left_alone(database_url: str) -> None:
    Database(database_url).close()
    engine = engine_for(database_url)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(ShopError, match=r"written by a newer Spindlewright \(their tables are at 9999\)"):
        Database(database_url)
    assert revision_of(engine) == "9999"
    engine.dispose()


def test_a_file_that_is_no_database_is_said(tmp_path: Path) -> None:
    (tmp_path / "records.sqlite3").write_bytes(b"no database at all" * 100)
    with pytest.raises(ShopError, match="The records can't be opened: file is not a database"):
        Shop.open(tmp_path)


def test_an_address_that_is_none_is_said(tmp_path: Path) -> None:
    with pytest.raises(ShopError, match="The records can't be opened: Could not parse SQLAlchemy URL"):
        Shop.open(tmp_path, "somewhere")


def test_a_server_that_does_not_answer_is_said(tmp_path: Path) -> None:
    pytest.importorskip("psycopg")
    with pytest.raises(ShopError, match=r"The records can't be opened: connection failed.*Look at --data"):
        Shop.open(tmp_path, "postgresql+psycopg://bench@127.0.0.1:1/nothing")


def test_a_folder_that_cannot_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(ShopError, match=r"can't be used: .* Choose another with --data"):
        Shop.open(tmp_path / "file")
