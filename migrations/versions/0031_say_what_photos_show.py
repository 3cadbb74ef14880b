"""Say what each photo of a piece shows, let it carry a caption, and keep receipts that another one replaced."""

import sqlalchemy as sa
from alembic import op

revision = "0031"
down_revision = "0030"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("photo", sa.Column("caption", sa.String(length=200), server_default="", nullable=False))
    # A photo from before is taken for one of the piece as found, unless the piece was finished by then.
    op.execute(
        "UPDATE photo SET shows = 'finished' WHERE shows = 'piece' AND EXISTS ("
        "SELECT 1 FROM step WHERE step.piece_id = photo.piece_id AND step.to_stage = 'finished'"
        " AND step.made_at <= photo.made_at)"
    )
    op.execute("UPDATE photo SET shows = 'found' WHERE shows = 'piece'")
    op.create_table(
        "replaced_receipt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("photo_id", sa.Integer(), nullable=False),
        sa.Column("of_table", sa.String(length=32), nullable=False),
        sa.Column("of_id", sa.Integer(), nullable=False),
        sa.Column("replaced_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_replaced_receipt_photo_id_photo")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_replaced_receipt")),
    )
    op.create_index(op.f("ix_replaced_receipt_photo_id"), "replaced_receipt", ["photo_id"])
    op.create_index("ix_replaced_receipt_of_table_of_id", "replaced_receipt", ["of_table", "of_id"])


def downgrade() -> None:
    op.drop_table("replaced_receipt")
    op.execute("UPDATE photo SET shows = 'piece' WHERE shows IN ('found', 'during', 'finished', 'listing')")
    op.drop_column("photo", "caption")
