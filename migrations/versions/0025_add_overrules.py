"""Add checks the owner overruled."""

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "recipe_overrule",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recipe_id", sa.Integer(), nullable=False),
        sa.Column("task", sa.String(length=32), nullable=True),
        sa.Column("part", sa.String(length=32), nullable=True),
        sa.Column("rule", sa.String(length=40), nullable=False),
        sa.Column("note", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipe.id"], name=op.f("fk_recipe_overrule_recipe_id_recipe")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipe_overrule")),
    )
    op.create_index(op.f("ix_recipe_overrule_recipe_id"), "recipe_overrule", ["recipe_id"], unique=False)
    op.create_table(
        "finish_overrule",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("finish_id", sa.Integer(), nullable=False),
        sa.Column("step_id", sa.Integer(), nullable=False),
        sa.Column("rule", sa.String(length=40), nullable=False),
        sa.Column("note", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["finish_id"], ["finish.id"], name=op.f("fk_finish_overrule_finish_id_finish")),
        sa.ForeignKeyConstraint(["step_id"], ["finish_step.id"], name=op.f("fk_finish_overrule_step_id_finish_step")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finish_overrule")),
    )
    op.create_index(op.f("ix_finish_overrule_finish_id"), "finish_overrule", ["finish_id"], unique=False)
    op.create_index(op.f("ix_finish_overrule_step_id"), "finish_overrule", ["step_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_finish_overrule_step_id"), table_name="finish_overrule")
    op.drop_index(op.f("ix_finish_overrule_finish_id"), table_name="finish_overrule")
    op.drop_table("finish_overrule")
    op.drop_index(op.f("ix_recipe_overrule_recipe_id"), table_name="recipe_overrule")
    op.drop_table("recipe_overrule")
