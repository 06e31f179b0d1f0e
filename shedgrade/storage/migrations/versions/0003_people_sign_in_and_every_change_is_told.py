"""People sign in and every change is told."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "failed_tries",
        sa.Column("of", sa.String(), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("failures > 0", name=op.f("ck_failed_tries_some_failures")),
        sa.PrimaryKeyConstraint("of", name=op.f("pk_failed_tries")),
    )
    op.create_table(
        "change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("noun", sa.String(), nullable=False),
        sa.Column("row_id", sa.Integer(), nullable=False),
        sa.Column("deed", sa.String(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.CheckConstraint("deed IN ('added', 'changed', 'removed', 'voided')", name=op.f("ck_change_known_deed")),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_change_person_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change")),
    )
    with op.batch_alter_table("change", schema=None) as batch_op:
        batch_op.create_index("ix_change_noun_row", ["noun", "row_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_change_person_id"), ["person_id"], unique=False)

    op.create_table(
        "setting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("value", sa.Integer(), nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("set_at", sa.DateTime(), nullable=False),
        sa.Column("set_by_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(source) > 0", name=op.f("ck_setting_sourced")),
        sa.ForeignKeyConstraint(
            ["set_by_id"], ["person.id"], name=op.f("fk_setting_set_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_setting")),
    )
    with op.batch_alter_table("setting", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_setting_key"), ["key"], unique=False)

    op.create_table(
        "tablet",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("registered_at", sa.DateTime(), nullable=False),
        sa.Column("registered_by_id", sa.Integer(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.Column("ended_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("(ended_at IS NULL) = (ended_by_id IS NULL)", name=op.f("ck_tablet_ending_has_person")),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_tablet_named")),
        sa.ForeignKeyConstraint(
            ["ended_by_id"], ["person.id"], name=op.f("fk_tablet_ended_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["registered_by_id"], ["person.id"], name=op.f("fk_tablet_registered_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tablet")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_tablet_token_sha256")),
    )
    op.create_table(
        "sign_in",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("tablet_id", sa.Integer(), nullable=True),
        sa.Column("browser", sa.String(), nullable=False),
        sa.Column("proved_at", sa.DateTime(), nullable=False),
        sa.Column("seen_at", sa.DateTime(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.Column("ended_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["ended_by_id"], ["person.id"], name=op.f("fk_sign_in_ended_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_sign_in_person_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["tablet_id"], ["tablet.id"], name=op.f("fk_sign_in_tablet_id_tablet"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_sign_in_token_sha256")),
    )
    with op.batch_alter_table("sign_in", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_in_person_id"), ["person_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_sign_in_tablet_id"), ["tablet_id"], unique=False)

    with op.batch_alter_table("person", schema=None) as batch_op:
        batch_op.add_column(sa.Column("password_hash", sa.String(), nullable=False, server_default=""))
        batch_op.add_column(sa.Column("pin_hash", sa.String(), nullable=False, server_default=""))
        batch_op.add_column(sa.Column("active", sa.Boolean(), nullable=False, server_default=sa.true()))


def downgrade() -> None:
    """Take it back."""
    with op.batch_alter_table("person", schema=None) as batch_op:
        batch_op.drop_column("active")
        batch_op.drop_column("pin_hash")
        batch_op.drop_column("password_hash")

    with op.batch_alter_table("sign_in", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sign_in_tablet_id"))
        batch_op.drop_index(batch_op.f("ix_sign_in_person_id"))

    op.drop_table("sign_in")
    op.drop_table("tablet")
    with op.batch_alter_table("setting", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_setting_key"))

    op.drop_table("setting")
    with op.batch_alter_table("change", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_change_person_id"))
        batch_op.drop_index("ix_change_noun_row")

    op.drop_table("change")
    op.drop_table("failed_tries")
