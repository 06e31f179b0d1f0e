"""A draft keeps every text it has had, and a price list the spec version it was written for."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

# Of a draft from before only the last change is known: its text, and what it replaced.
_NOW = "INSERT INTO spec_draft_text SELECT id, version, content, version FROM spec_draft"
_BEFORE = """INSERT INTO spec_draft_text SELECT id, version - 1, content_before, version - 1
FROM spec_draft WHERE content_before <> '' AND version > 1"""
_BACK_NOW = """UPDATE spec_draft SET content = (SELECT content FROM spec_draft_text AS held
WHERE held.draft_id = spec_draft.id ORDER BY held.version DESC LIMIT 1)"""


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "spec_draft_text",
        sa.Column("draft_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("text_of", sa.Integer(), nullable=False),
        sa.CheckConstraint("version > 0", name=op.f("ck_spec_draft_text_counts_from_one")),
        sa.CheckConstraint("text_of <= version", name=op.f("ck_spec_draft_text_goes_back")),
        sa.ForeignKeyConstraint(
            ["draft_id"],
            ["spec_draft.id"],
            name=op.f("fk_spec_draft_text_draft_id_spec_draft"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("draft_id", "version", name=op.f("pk_spec_draft_text")),
    )
    op.create_index(op.f("ix_spec_draft_text_draft_id"), "spec_draft_text", ["draft_id"])
    op.execute(_BEFORE)
    op.execute(_NOW)
    # By these words SQLite changes the table in place: it could not rebuild one that other rows point at.
    op.execute("ALTER TABLE spec_draft DROP COLUMN content_before")
    op.execute("ALTER TABLE spec_draft DROP COLUMN content")
    # Which version an older list was written for is not known.
    op.add_column("price_list", sa.Column("spec_version_id", sa.Integer(), nullable=True))


def downgrade() -> None:
    """Take it back."""
    op.execute("ALTER TABLE price_list DROP COLUMN spec_version_id")
    op.add_column("spec_draft", sa.Column("content", sa.Text(), nullable=False, server_default=""))
    op.add_column("spec_draft", sa.Column("content_before", sa.Text(), nullable=False, server_default=""))
    op.execute(_BACK_NOW)
    op.drop_index(op.f("ix_spec_draft_text_draft_id"), "spec_draft_text")
    op.drop_table("spec_draft_text")
