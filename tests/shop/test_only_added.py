"""What was read or answered is only ever added to: by our own code, and by whatever else writes to the database."""

from __future__ import annotations

import pytest
from bench_day import at_before, measured_one
from sqlalchemy import select, text
from sqlalchemy.exc import DBAPIError

from spindlewright.shop.errors import ShopError
from spindlewright.shop.store import Shop
from spindlewright.shop.tables import everything
from spindlewright.shop.tables.base import AddedOnly, Table
from spindlewright.shop.tables.recordings import ReadingRow

assert everything
ADDED_ONLY = sorted(
    mapper.local_table.name for mapper in Table.registry.mappers if issubclass(mapper.class_, AddedOnly)
)


def test_a_reading_cannot_be_changed_by_the_program(shop: Shop) -> None:
    measured_one(shop, at_before(shop))

    def change() -> None:
        with shop.writing() as session:
            session.scalars(select(ReadingRow)).one().value = 0.0

    with pytest.raises(TypeError, match="only ever added"):
        change()


def test_a_reading_cannot_be_taken_away_by_the_program(shop: Shop) -> None:
    measured_one(shop, at_before(shop))
    with pytest.raises(TypeError, match="only ever added"), shop.writing() as session:
        session.delete(session.scalars(select(ReadingRow)).one())


@pytest.mark.parametrize("statement", ["UPDATE reading SET value = 0", "DELETE FROM reading"])
def test_nor_by_another_program(shop: Shop, statement: str) -> None:
    measured_one(shop, at_before(shop))
    with pytest.raises((ShopError, DBAPIError), match="only ever added"), shop.writing() as session:
        session.execute(text(statement))
    with shop.reading() as session:
        assert session.scalars(select(ReadingRow)).one().value == -0.5


def test_every_table_so_marked_is_so_kept(shop: Shop) -> None:
    kind = shop.database.engine.dialect.name
    with shop.reading() as session:
        query = (
            "SELECT DISTINCT tbl_name FROM sqlite_master WHERE type = 'trigger'"
            if kind == "sqlite"
            else "SELECT DISTINCT event_object_table FROM information_schema.triggers"
        )
        assert sorted(session.scalars(text(query))) == ADDED_ONLY
