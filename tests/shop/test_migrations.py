"""The tables: migrations up, down and up again, nothing forgotten, on both databases."""

from __future__ import annotations

from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Engine, inspect

from spindlewright.shop.database import Database, _engine, migrate
from spindlewright.shop.tables import everything
from spindlewright.shop.tables.base import Table

assert everything


def tables_of(engine: Engine) -> set[str]:
    return set(inspect(engine).get_table_names()) - {"alembic_version"}


def test_migrations_go_up_down_and_up_again(database_url: str) -> None:
    engine = _engine(database_url)
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
