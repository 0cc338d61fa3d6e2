"""What is only ever added can't be changed or taken away, whatever program writes to the database.

A later step that rebuilds one of these tables on SQLite (batch mode) takes its triggers away: set them up again there.
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

ONLY_ADDED = (
    *("waiting", "gate_answer", "go_ahead", "no_recording", "measurement", "reading", "reading_withdrawn", "finding"),
    *("function_check", "listening_tick", "soak_run", "photo", "handover"),
)


def upgrade() -> None:
    """Forwards."""
    if op.get_context().dialect.name == "postgresql":
        op.execute(
            "CREATE FUNCTION only_added() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE EXCEPTION '% rows are only ever added', TG_TABLE_NAME; END $$"
        )
        for table in ONLY_ADDED:
            op.execute(
                f"CREATE TRIGGER {table}_only_added BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION only_added()"
            )
        return
    for table in ONLY_ADDED:
        for event in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_only_added_{event.lower()} BEFORE {event} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} rows are only ever added'); END"
            )


def downgrade() -> None:
    """Back."""
    if op.get_context().dialect.name == "postgresql":
        for table in ONLY_ADDED:
            op.execute(f"DROP TRIGGER {table}_only_added ON {table}")
        op.execute("DROP FUNCTION only_added()")
        return
    for table in ONLY_ADDED:
        for event in ("update", "delete"):
            op.execute(f"DROP TRIGGER {table}_only_added_{event}")
