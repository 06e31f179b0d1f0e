"""Specs are drafted, retired and put back, and values in them confirmed."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "spec_draft",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("spec_key", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("crop_id", sa.String(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("content_before", sa.Text(), nullable=False),
        sa.Column("based_on_id", sa.Integer(), nullable=True),
        sa.Column("started_at", sa.DateTime(), nullable=False),
        sa.Column("started_by_id", sa.Integer(), nullable=False),
        sa.Column("published_as_id", sa.Integer(), nullable=True),
        sa.Column("put_aside_at", sa.DateTime(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(title) > 0", name=op.f("ck_spec_draft_titled")),
        sa.CheckConstraint("published_as_id IS NULL OR put_aside_at IS NULL", name=op.f("ck_spec_draft_ends_one_way")),
        _to("spec_draft", "based_on_id", "spec_version"),
        _to("spec_draft", "started_by_id", "person"),
        _to("spec_draft", "published_as_id", "spec_version"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_spec_draft")),
    )
    op.create_index(op.f("ix_spec_draft_based_on_id"), "spec_draft", ["based_on_id"])
    op.create_index(op.f("ix_spec_draft_published_as_id"), "spec_draft", ["published_as_id"])
    op.create_table(
        "spec_retirement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("spec_version_id", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("retired_at", sa.DateTime(), nullable=False),
        sa.Column("retired_by_id", sa.Integer(), nullable=False),
        sa.Column("put_back_at", sa.DateTime(), nullable=True),
        sa.Column("put_back_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("length(reason) > 0", name=op.f("ck_spec_retirement_reasoned")),
        sa.CheckConstraint(
            "(put_back_at IS NULL) = (put_back_by_id IS NULL)", name=op.f("ck_spec_retirement_return_has_person")
        ),
        _to("spec_retirement", "spec_version_id", "spec_version"),
        _to("spec_retirement", "retired_by_id", "person"),
        _to("spec_retirement", "put_back_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_spec_retirement")),
    )
    _standing("spec_retirement", ["spec_version_id"], "put_back_at IS NULL")
    op.create_table(
        "spec_confirmation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("spec_version_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("read_on", sa.Date(), nullable=False),
        sa.Column("read_in", sa.String(), nullable=False),
        sa.Column("confirmed_at", sa.DateTime(), nullable=False),
        sa.Column("confirmed_by_id", sa.Integer(), nullable=False),
        sa.Column("carried_from_id", sa.Integer(), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(), nullable=True),
        sa.Column("withdrawn_by_id", sa.Integer(), nullable=True),
        sa.Column("withdraw_reason", sa.String(), nullable=False),
        sa.CheckConstraint("length(read_in) > 0", name=op.f("ck_spec_confirmation_says_where")),
        sa.CheckConstraint(
            "(withdrawn_at IS NULL) = (withdraw_reason = '')", name=op.f("ck_spec_confirmation_withdrawal_has_reason")
        ),
        sa.CheckConstraint(
            "(withdrawn_at IS NULL) = (withdrawn_by_id IS NULL)",
            name=op.f("ck_spec_confirmation_withdrawal_has_person"),
        ),
        _to("spec_confirmation", "spec_version_id", "spec_version"),
        _to("spec_confirmation", "confirmed_by_id", "person"),
        _to("spec_confirmation", "carried_from_id", "spec_version"),
        _to("spec_confirmation", "withdrawn_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_spec_confirmation")),
    )
    _standing("spec_confirmation", ["spec_version_id", "place"], "withdrawn_at IS NULL")


def downgrade() -> None:
    """Take it back."""
    for table in ("spec_confirmation", "spec_retirement", "spec_draft"):
        op.drop_table(table)


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_{column}_{target}")
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=name, ondelete="RESTRICT")


def _standing(table: str, columns: list[str], stands: str) -> None:
    """Of what can be taken back, one of a kind stands at a time."""
    op.create_index(op.f(f"ix_{table}_spec_version_id"), table, ["spec_version_id"])
    where = sa.text(stands)
    op.create_index(f"uq_{table}_standing", table, columns, unique=True, sqlite_where=where, postgresql_where=where)
