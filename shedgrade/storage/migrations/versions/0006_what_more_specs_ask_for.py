"""What more specs ask for: other figures of a fruit, states of its marks, maturity tests, where a load goes."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

_WORDS = {
    "market": ["destination", "presentation"],
    "consignment": ["destination", "presentation"],
    "block": ["grown_in"],
}


def upgrade() -> None:
    """Make the change."""
    with op.batch_alter_table("fruit_defect", schema=None) as batch_op:
        batch_op.add_column(sa.Column("length_dmm", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("places", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("states", sa.String(), nullable=True))
        batch_op.create_check_constraint(op.f("ck_fruit_defect_length_above_zero"), "length_dmm > 0")
        batch_op.create_check_constraint(op.f("ck_fruit_defect_some_places"), "places > 0")
    for table, names in _WORDS.items():
        with op.batch_alter_table(table, schema=None) as batch_op:
            for name in names:
                batch_op.add_column(sa.Column(name, sa.String(), nullable=False, server_default=""))
    op.create_table(
        "fruit_measure",
        sa.Column("fruit_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.String(), nullable=False),
        sa.Column("value", sa.Integer(), nullable=False),
        sa.CheckConstraint("value >= 0", name=op.f("ck_fruit_measure_not_negative")),
        sa.ForeignKeyConstraint(
            ["fruit_id"], ["fruit.id"], name=op.f("fk_fruit_measure_fruit_id_fruit"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("fruit_id", "measure", name=op.f("pk_fruit_measure")),
    )
    op.create_table(
        "maturity_test",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("taken_on", sa.Date(), nullable=False),
        sa.Column("fruit", sa.Integer(), nullable=False),
        sa.Column("cut", sa.Boolean(), nullable=False),
        sa.Column("tested_at", sa.DateTime(), nullable=False),
        sa.Column("tested_by_id", sa.Integer(), nullable=False),
        sa.Column("voided_at", sa.DateTime(), nullable=True),
        sa.Column("voided_by_id", sa.Integer(), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("fruit > 0", name=op.f("ck_maturity_test_some_fruit")),
        sa.CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name=op.f("ck_maturity_test_void_has_reason")),
        sa.CheckConstraint(
            "(voided_at IS NULL) = (voided_by_id IS NULL)", name=op.f("ck_maturity_test_void_has_person")
        ),
        sa.ForeignKeyConstraint(
            ["consignment_id"],
            ["consignment.id"],
            name=op.f("fk_maturity_test_consignment_id_consignment"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["tested_by_id"], ["person.id"], name=op.f("fk_maturity_test_tested_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["voided_by_id"], ["person.id"], name=op.f("fk_maturity_test_voided_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_maturity_test")),
    )
    with op.batch_alter_table("maturity_test", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_maturity_test_consignment_id"), ["consignment_id"], unique=False)

    op.create_table(
        "maturity_reading",
        sa.Column("test_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.String(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("value", sa.Integer(), nullable=False),
        sa.CheckConstraint("place >= 0", name=op.f("ck_maturity_reading_counts_from_zero")),
        sa.CheckConstraint("value >= 0", name=op.f("ck_maturity_reading_not_negative")),
        sa.ForeignKeyConstraint(
            ["test_id"],
            ["maturity_test.id"],
            name=op.f("fk_maturity_reading_test_id_maturity_test"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("test_id", "measure", "place", name=op.f("pk_maturity_reading")),
    )


def downgrade() -> None:
    """Take it back."""
    op.drop_table("maturity_reading")
    with op.batch_alter_table("maturity_test", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_maturity_test_consignment_id"))

    op.drop_table("maturity_test")
    op.drop_table("fruit_measure")
    for table, names in _WORDS.items():
        with op.batch_alter_table(table, schema=None) as batch_op:
            for name in names:
                batch_op.drop_column(name)
    with op.batch_alter_table("fruit_defect", schema=None) as batch_op:
        batch_op.drop_constraint(op.f("ck_fruit_defect_some_places"), type_="check")
        batch_op.drop_constraint(op.f("ck_fruit_defect_length_above_zero"), type_="check")
        batch_op.drop_column("states")
        batch_op.drop_column("places")
        batch_op.drop_column("length_dmm")
