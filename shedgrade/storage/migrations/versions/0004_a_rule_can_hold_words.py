"""A rule of the shed can hold words."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def _sourced() -> sa.CheckConstraint:
    """SQLite rebuilds the table, and Alembic does not read a CHECK back."""
    return sa.CheckConstraint("length(source) > 0", name=op.f("ck_setting_sourced"))


def upgrade() -> None:
    """Make the change."""
    with op.batch_alter_table("setting", schema=None, table_args=(_sourced(),)) as batch_op:
        batch_op.alter_column(
            "value",
            existing_type=sa.Integer(),
            type_=sa.String(),
            existing_nullable=False,
            postgresql_using="value::varchar",
        )


def downgrade() -> None:
    """Take it back; what is said in words cannot stay."""
    op.execute("DELETE FROM setting WHERE key = 'shed-name'")
    with op.batch_alter_table("setting", schema=None, table_args=(_sourced(),)) as batch_op:
        batch_op.alter_column(
            "value",
            existing_type=sa.String(),
            type_=sa.Integer(),
            existing_nullable=False,
            postgresql_using="value::integer",
        )
