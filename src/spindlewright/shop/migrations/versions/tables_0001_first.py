"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

json_value = sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), "postgresql")
moment = sa.DateTime(timezone=True)
cents = sa.BigInteger()


def upgrade() -> None:
    """Forwards."""
    op.create_table(
        "deck",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("description", sa.String(), nullable=False),
        sa.Column("serial", sa.String(), nullable=False),
        sa.Column("drive", sa.String(), nullable=False),
        sa.Column("motor", sa.String(), nullable=False),
        sa.Column("arm", sa.String(), nullable=False),
        sa.Column("automatic", sa.Boolean(), nullable=False),
        sa.Column("speeds_rpm", json_value, nullable=False),
        sa.Column("plate_voltage_v", sa.Double(), nullable=True),
        sa.Column("plate_frequency_hz", sa.Double(), nullable=True),
        sa.Column("abilities", json_value, nullable=False),
        sa.Column("dimensions", json_value, nullable=False),
        sa.Column("added_at", moment, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deck")),
    )
    op.create_table(
        "number_series",
        sa.Column("year", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("year", name=op.f("pk_number_series")),
    )
    op.create_table(
        "owner",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("contact", sa.String(), nullable=False),
        sa.Column("is_shop", sa.Boolean(), nullable=False),
        sa.Column("added_at", moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_owner")),
    )
    op.create_table(
        "setting",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("value", json_value, nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_setting")),
    )
    op.create_table(
        "job",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("deck_id", sa.Integer(), nullable=False),
        sa.Column("owner_id", sa.Integer(), nullable=False),
        sa.Column("arrived_at", moment, nullable=False),
        sa.Column("complaint", sa.String(), nullable=False),
        sa.Column("condition", sa.String(), nullable=False),
        sa.Column("brought_with", sa.String(), nullable=False),
        sa.Column("missing", sa.String(), nullable=False),
        sa.Column("look_over_fee", cents, nullable=True),
        sa.Column("stop_sum", cents, nullable=True),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("shop_headshell", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["deck_id"], ["deck.id"], name=op.f("fk_job_deck_id_deck")),
        sa.ForeignKeyConstraint(["owner_id"], ["owner.id"], name=op.f("fk_job_owner_id_owner")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
        sa.UniqueConstraint("number", name=op.f("uq_job_number")),
    )
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_deck_id"), ["deck_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_job_owner_id"), ["owner_id"], unique=False)

    op.create_table(
        "capture",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("file_name", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("options", json_value, nullable=False),
        sa.Column("cold_short", sa.Boolean(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("problem", sa.String(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("claimed_by", sa.String(), nullable=False),
        sa.Column("claimed_until", moment, nullable=True),
        sa.Column("received_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_capture_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_capture")),
    )
    with op.batch_alter_table("capture", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_capture_job_id_stage"), ["job_id", "stage"], unique=False)
        batch_op.create_index(batch_op.f("ix_capture_sha256"), ["sha256"], unique=False)
        batch_op.create_index(batch_op.f("ix_capture_state"), ["state"], unique=False)

    op.create_table(
        "function_check",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("function", sa.String(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("checked_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_function_check_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_function_check")),
    )
    with op.batch_alter_table("function_check", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_function_check_job_id"), ["job_id"], unique=False)

    op.create_table(
        "gate_answer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("gate", sa.String(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("answered_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_gate_answer_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_gate_answer")),
    )
    with op.batch_alter_table("gate_answer", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_gate_answer_job_id"), ["job_id"], unique=False)

    op.create_table(
        "go_ahead",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("how", sa.String(), nullable=False),
        sa.Column("at", moment, nullable=False),
        sa.Column("sum", cents, nullable=True),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("written_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_go_ahead_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_go_ahead")),
    )
    with op.batch_alter_table("go_ahead", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_go_ahead_job_id"), ["job_id"], unique=False)

    op.create_table(
        "handover",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("to_whom", sa.String(), nullable=False),
        sa.Column("stands_for_it", sa.String(), nullable=False),
        sa.Column("price", cents, nullable=True),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_handover_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_handover")),
    )
    with op.batch_alter_table("handover", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_handover_job_id"), ["job_id"], unique=False)

    op.create_table(
        "job_summary",
        sa.Column("job_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("next_words", sa.String(), nullable=False),
        sa.Column("waiting_for", sa.String(), nullable=False),
        sa.Column("search_text", sa.String(), nullable=False),
        sa.Column("changed_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_job_summary_job_id_job")),
        sa.PrimaryKeyConstraint("job_id", name=op.f("pk_job_summary")),
    )
    with op.batch_alter_table("job_summary", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_summary_place_changed_at"), ["place", "changed_at"], unique=False)

    op.create_table(
        "left_undone",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("at", moment, nullable=False),
        sa.Column("taken_back_at", moment, nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_left_undone_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_left_undone")),
    )
    with op.batch_alter_table("left_undone", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_left_undone_job_id"), ["job_id"], unique=False)

    op.create_table(
        "listening_tick",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("item", sa.String(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("ticked_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_listening_tick_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_listening_tick")),
    )
    with op.batch_alter_table("listening_tick", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_listening_tick_job_id"), ["job_id"], unique=False)

    op.create_table(
        "no_recording",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_no_recording_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_no_recording")),
    )
    with op.batch_alter_table("no_recording", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_no_recording_job_id"), ["job_id"], unique=False)

    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("file_name", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("media_type", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("received_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_photo_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
    )
    with op.batch_alter_table("photo", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_photo_job_id"), ["job_id"], unique=False)

    op.create_table(
        "soak_run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("length_min", sa.Double(), nullable=False),
        sa.Column("result", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("ended_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_soak_run_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_soak_run")),
    )
    with op.batch_alter_table("soak_run", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_soak_run_job_id"), ["job_id"], unique=False)

    op.create_table(
        "task_done",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("template", sa.String(), nullable=False),
        sa.Column("parts", sa.String(), nullable=False),
        sa.Column("result", sa.String(), nullable=False),
        sa.Column("planned_at", moment, nullable=False),
        sa.Column("done_at", moment, nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_task_done_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_task_done")),
    )
    with op.batch_alter_table("task_done", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_task_done_job_id"), ["job_id"], unique=False)

    op.create_table(
        "waiting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("waiting_for", sa.String(), nullable=False),
        sa.Column("since", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_waiting_job_id_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_waiting")),
    )
    with op.batch_alter_table("waiting", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_waiting_job_id"), ["job_id"], unique=False)

    op.create_table(
        "watched_folder",
        sa.Column("bench", sa.String(), nullable=False),
        sa.Column("folder", sa.String(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("options", json_value, nullable=False),
        sa.Column("known", json_value, nullable=False),
        sa.Column("joined_at", moment, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_watched_folder_job_id_job")),
        sa.PrimaryKeyConstraint("bench", name=op.f("pk_watched_folder")),
    )
    op.create_table(
        "measurement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.Integer(), nullable=False),
        sa.Column("engine_version", sa.String(), nullable=False),
        sa.Column("made_at", moment, nullable=False),
        sa.Column("json_object", json_value, nullable=False),
        sa.Column("curves", json_value, nullable=True),
        sa.ForeignKeyConstraint(["capture_id"], ["capture.id"], name=op.f("fk_measurement_capture_id_capture")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_measurement")),
    )
    with op.batch_alter_table("measurement", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_measurement_capture_id"), ["capture_id"], unique=False)

    op.create_table(
        "finding",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("measurement_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("message", sa.String(), nullable=False),
        sa.Column("band", sa.Integer(), nullable=True),
        sa.Column("evidence", json_value, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_finding_job_id_job")),
        sa.ForeignKeyConstraint(
            ["measurement_id"], ["measurement.id"], name=op.f("fk_finding_measurement_id_measurement")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finding")),
    )
    with op.batch_alter_table("finding", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_finding_job_id_stage"), ["job_id", "stage"], unique=False)
        batch_op.create_index(batch_op.f("ix_finding_measurement_id"), ["measurement_id"], unique=False)

    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("measurement_id", sa.Integer(), nullable=True),
        sa.Column("quantity", sa.String(), nullable=False),
        sa.Column("channel", sa.String(), nullable=True),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("uncertainty", sa.Double(), nullable=False),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("method_version", sa.Integer(), nullable=False),
        sa.Column("engine_version", sa.String(), nullable=False),
        sa.Column("verdict", sa.String(), nullable=True),
        sa.Column("taken_at", moment, nullable=False),
        sa.Column("json_object", json_value, nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_reading_job_id_job")),
        sa.ForeignKeyConstraint(
            ["measurement_id"], ["measurement.id"], name=op.f("fk_reading_measurement_id_measurement")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
    )
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_reading_job_id_stage"), ["job_id", "stage"], unique=False)
        batch_op.create_index(batch_op.f("ix_reading_measurement_id"), ["measurement_id"], unique=False)

    op.create_table(
        "reading_withdrawn",
        sa.Column("reading_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("at", moment, nullable=False),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_reading_withdrawn_reading_id_reading")),
        sa.PrimaryKeyConstraint("reading_id", name=op.f("pk_reading_withdrawn")),
    )


def downgrade() -> None:
    """Back."""
    op.drop_table("reading_withdrawn")
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_reading_measurement_id"))
        batch_op.drop_index(batch_op.f("ix_reading_job_id_stage"))

    op.drop_table("reading")
    with op.batch_alter_table("finding", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_finding_measurement_id"))
        batch_op.drop_index(batch_op.f("ix_finding_job_id_stage"))

    op.drop_table("finding")
    with op.batch_alter_table("measurement", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_measurement_capture_id"))

    op.drop_table("measurement")
    op.drop_table("watched_folder")
    with op.batch_alter_table("waiting", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_waiting_job_id"))

    op.drop_table("waiting")
    with op.batch_alter_table("task_done", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_task_done_job_id"))

    op.drop_table("task_done")
    with op.batch_alter_table("soak_run", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_soak_run_job_id"))

    op.drop_table("soak_run")
    with op.batch_alter_table("photo", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_photo_job_id"))

    op.drop_table("photo")
    with op.batch_alter_table("no_recording", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_no_recording_job_id"))

    op.drop_table("no_recording")
    with op.batch_alter_table("listening_tick", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_listening_tick_job_id"))

    op.drop_table("listening_tick")
    with op.batch_alter_table("left_undone", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_left_undone_job_id"))

    op.drop_table("left_undone")
    with op.batch_alter_table("job_summary", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_job_summary_place_changed_at"))

    op.drop_table("job_summary")
    with op.batch_alter_table("handover", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_handover_job_id"))

    op.drop_table("handover")
    with op.batch_alter_table("go_ahead", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_go_ahead_job_id"))

    op.drop_table("go_ahead")
    with op.batch_alter_table("gate_answer", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_gate_answer_job_id"))

    op.drop_table("gate_answer")
    with op.batch_alter_table("function_check", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_function_check_job_id"))

    op.drop_table("function_check")
    with op.batch_alter_table("capture", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_capture_state"))
        batch_op.drop_index(batch_op.f("ix_capture_sha256"))
        batch_op.drop_index(batch_op.f("ix_capture_job_id_stage"))

    op.drop_table("capture")
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_job_owner_id"))
        batch_op.drop_index(batch_op.f("ix_job_deck_id"))

    op.drop_table("job")
    op.drop_table("setting")
    op.drop_table("owner")
    op.drop_table("number_series")
    op.drop_table("deck")
