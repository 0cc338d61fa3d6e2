"""Runs one migration on the connection that ``shop/database.py`` hands over (or on ``-x url=…`` from Alembic)."""

from __future__ import annotations

from alembic import context
from sqlalchemy import Connection, create_engine

from spindlewright.shop.tables import everything
from spindlewright.shop.tables.base import Table

assert everything


def run(connection: Connection) -> None:
    """Migrate on ``connection``; the caller commits."""
    context.configure(
        connection=connection, target_metadata=Table.metadata, render_as_batch=True, transactional_ddl=False
    )
    context.run_migrations()


if hasattr(context, "config"):  # not when this file is only looked at
    given: Connection | None = context.config.attributes.get("connection")
    if given is not None:
        run(given)
    else:
        with create_engine(context.get_x_argument(as_dictionary=True)["url"]).begin() as own:
            run(own)
