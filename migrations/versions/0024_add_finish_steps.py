"""Add the steps of finishes as done."""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None


def _what_a_step_says() -> list[sa.Column]:
    return [
        sa.Column("task", sa.String(length=32), nullable=False),
        sa.Column("part", sa.String(length=32), nullable=False),
        sa.Column("aim", sa.String(length=32), nullable=True),
        sa.Column("product", sa.String(length=32), nullable=True),
        sa.Column("material_id", sa.Integer(), nullable=True),
        sa.Column("colour", sa.String(length=7), nullable=True),
        sa.Column("ratio", sa.String(length=24), nullable=False),
        sa.Column("mixed_with", sa.String(length=80), nullable=False),
        sa.Column("thin_hundredths", sa.Integer(), nullable=True),
        sa.Column("grit", sa.Integer(), nullable=True),
        sa.Column("grit_scale", sa.String(length=32), nullable=False),
        sa.Column("coats", sa.Integer(), nullable=False),
        sa.Column("way", sa.String(length=32), nullable=True),
        sa.Column("dwell", sa.Integer(), nullable=True),
        sa.Column("recoat", sa.Integer(), nullable=True),
        sa.Column("recoat_by", sa.Integer(), nullable=True),
        sa.Column("cure", sa.Integer(), nullable=True),
        sa.Column("active", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("caution", sa.String(length=200), nullable=False),
    ]


def _what_must_hold() -> list[sa.Constraint]:
    return [
        sa.CheckConstraint("coats >= 1", name=op.f("ck_finish_step_coats_positive")),
        sa.CheckConstraint("humidity BETWEEN 0 AND 100", name=op.f("ck_finish_step_humidity_in_range")),
        sa.CheckConstraint("used_milli > 0", name=op.f("ck_finish_step_used_positive")),
        sa.ForeignKeyConstraint(["finish_id"], ["finish.id"], name=op.f("fk_finish_step_finish_id_finish")),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_finish_step_material_id_material")),
        sa.ForeignKeyConstraint(
            ["recipe_step_id"], ["recipe_step.id"], name=op.f("fk_finish_step_recipe_step_id_recipe_step")
        ),
        sa.ForeignKeyConstraint(["use_id"], ["shelf_use.id"], name=op.f("fk_finish_step_use_id_shelf_use")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finish_step")),
    ]


def upgrade() -> None:
    op.create_table(
        "finish_step",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("finish_id", sa.Integer(), nullable=False),
        sa.Column("recipe_step_id", sa.Integer(), nullable=True),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("coat", sa.Integer(), nullable=False),
        sa.Column("coats_in_all", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=32), nullable=False),
        sa.Column("started_at", sa.DateTime(), nullable=True),
        sa.Column("done_at", sa.DateTime(), nullable=True),
        sa.Column("ready_at", sa.DateTime(), nullable=True),
        sa.Column("closes_at", sa.DateTime(), nullable=True),
        sa.Column("cured_at", sa.DateTime(), nullable=True),
        sa.Column("use_id", sa.Integer(), nullable=True),
        sa.Column("used_milli", sa.BigInteger(), nullable=True),
        sa.Column("temp_tenths", sa.Integer(), nullable=True),
        sa.Column("humidity", sa.Integer(), nullable=True),
        sa.Column("done_note", sa.String(length=300), nullable=False),
        *_what_a_step_says(),
        *_what_must_hold(),
    )
    op.create_index(op.f("ix_finish_step_finish_id"), "finish_step", ["finish_id"], unique=False)
    op.create_index(op.f("ix_finish_step_recipe_step_id"), "finish_step", ["recipe_step_id"], unique=False)
    op.create_index(op.f("ix_finish_step_state"), "finish_step", ["state"], unique=False)
    op.create_index(op.f("ix_finish_step_use_id"), "finish_step", ["use_id"], unique=False)
    op.create_table(
        "step_time",
        sa.Column("time_entry_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("step_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["step_id"], ["finish_step.id"], name=op.f("fk_step_time_step_id_finish_step")),
        sa.ForeignKeyConstraint(
            ["time_entry_id"], ["time_entry.id"], name=op.f("fk_step_time_time_entry_id_time_entry")
        ),
        sa.PrimaryKeyConstraint("time_entry_id", name=op.f("pk_step_time")),
    )
    op.create_index(op.f("ix_step_time_step_id"), "step_time", ["step_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_step_time_step_id"), table_name="step_time")
    op.drop_table("step_time")
    op.drop_index(op.f("ix_finish_step_use_id"), table_name="finish_step")
    op.drop_index(op.f("ix_finish_step_state"), table_name="finish_step")
    op.drop_index(op.f("ix_finish_step_recipe_step_id"), table_name="finish_step")
    op.drop_index(op.f("ix_finish_step_finish_id"), table_name="finish_step")
    op.drop_table("finish_step")
