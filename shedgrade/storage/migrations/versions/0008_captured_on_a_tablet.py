"""Fruit is captured on a tablet, and sent when the tablet finds the server."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "fruit_capture",
        sa.Column("fruit_id", sa.Integer(), nullable=False),
        sa.Column("tablet_id", sa.Integer(), nullable=True),
        sa.Column("captured_at", sa.DateTime(), nullable=True),
        sa.Column("sent_by_id", sa.Integer(), nullable=False),
        sa.Column("file_sha256", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["fruit_id"], ["fruit.id"], name=op.f("fk_fruit_capture_fruit_id_fruit"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["sent_by_id"], ["person.id"], name=op.f("fk_fruit_capture_sent_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["tablet_id"], ["tablet.id"], name=op.f("fk_fruit_capture_tablet_id_tablet"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("fruit_id", name=op.f("pk_fruit_capture")),
    )


def downgrade() -> None:
    """Take it back."""
    op.drop_table("fruit_capture")
