"""Bringing the tables up to date, or back: Alembic on the steps of ``migrations/``."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

from spindlewright.shop.errors import ShopError
from spindlewright.shop.revision import revision_of

MIGRATION_LOCK = 0x5370696E
"""Key of PostgreSQL's advisory lock while tables are brought up to date."""


def migrations() -> Config:
    """Alembic's settings: the migrations lie in this package."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    return config


def migrate(engine: Engine, revision: str = "head") -> None:
    """Bring the tables to ``revision``, when they are not there already; several programs may do so at once."""
    script = ScriptDirectory.from_config(migrations())
    current = revision_of(engine)
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
