"""Scales are paired with benches, and what they send is kept until it is put somewhere."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

_ONE_BENCH = "(tablet_id IS NULL) <> (sign_in_id IS NULL)"


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_{column}_{target}")
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=name, ondelete="RESTRICT")


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "pairing_code",
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("tablet_id", sa.Integer(), nullable=True),
        sa.Column("sign_in_id", sa.Integer(), nullable=True),
        sa.Column("until", sa.DateTime(), nullable=False),
        sa.Column("asked_by_id", sa.Integer(), nullable=False),
        sa.CheckConstraint(_ONE_BENCH, name=op.f("ck_pairing_code_one_bench")),
        _to("pairing_code", "tablet_id", "tablet"),
        _to("pairing_code", "sign_in_id", "sign_in"),
        _to("pairing_code", "asked_by_id", "person"),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_pairing_code")),
    )
    op.create_table(
        "scale",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("tablet_id", sa.Integer(), nullable=True),
        sa.Column("sign_in_id", sa.Integer(), nullable=True),
        sa.Column("paired_at", sa.DateTime(), nullable=False),
        sa.Column("paired_by_id", sa.Integer(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.Column("ended_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_scale_named")),
        sa.CheckConstraint(_ONE_BENCH, name=op.f("ck_scale_one_bench")),
        sa.CheckConstraint(
            "ended_at IS NOT NULL OR ended_by_id IS NULL", name=op.f("ck_scale_ending_person_with_time")
        ),
        _to("scale", "tablet_id", "tablet"),
        _to("scale", "sign_in_id", "sign_in"),
        _to("scale", "paired_by_id", "person"),
        _to("scale", "ended_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scale")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_scale_token_sha256")),
    )
    with op.batch_alter_table("scale", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_scale_tablet_id"), ["tablet_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_scale_sign_in_id"), ["sign_in_id"], unique=False)
    op.create_table(
        "scale_reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("scale_id", sa.Integer(), nullable=False),
        sa.Column("run", sa.String(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("weight_dg", sa.Integer(), nullable=False),
        sa.Column("read_at", sa.DateTime(), nullable=False),
        sa.Column("waits", sa.Boolean(), nullable=False),
        sa.Column("done_at", sa.DateTime(), nullable=True),
        sa.CheckConstraint("weight_dg > 0", name=op.f("ck_scale_reading_has_weight")),
        sa.CheckConstraint("number > 0", name=op.f("ck_scale_reading_counts_from_one")),
        sa.CheckConstraint("waits OR done_at IS NULL", name=op.f("ck_scale_reading_only_waiting_is_done")),
        _to("scale_reading", "scale_id", "scale"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scale_reading")),
        sa.UniqueConstraint("scale_id", "run", "number", name=op.f("uq_scale_reading_scale_id_run_number")),
    )
    with op.batch_alter_table("scale_reading", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_scale_reading_scale_id"), ["scale_id"], unique=False)


def downgrade() -> None:
    """Take it back."""
    with op.batch_alter_table("scale_reading", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_scale_reading_scale_id"))
    op.drop_table("scale_reading")
    with op.batch_alter_table("scale", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_scale_sign_in_id"))
        batch_op.drop_index(batch_op.f("ix_scale_tablet_id"))
    op.drop_table("scale")
    op.drop_table("pairing_code")
