"""The jobs list is read newest change first."""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Forwards."""
    op.create_index("ix_job_summary_changed_at_job_id", "job_summary", ["changed_at", "job_id"])


def downgrade() -> None:
    """Back."""
    op.drop_index("ix_job_summary_changed_at_job_id", "job_summary")
