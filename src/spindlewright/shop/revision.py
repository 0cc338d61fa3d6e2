"""At which step of their history the tables of a database are."""

from __future__ import annotations

from sqlalchemy import Engine, inspect, text


def revision_of(engine: Engine) -> str | None:
    """At which step the tables are, None when there are none."""
    with engine.connect() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        found = connection.scalar(text("SELECT version_num FROM alembic_version"))
        return None if found is None else str(found)
