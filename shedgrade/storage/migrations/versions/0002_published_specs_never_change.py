"""Published specs never change: the database itself refuses it, whoever asks."""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_MESSAGE = "a published spec version never changes"


def upgrade() -> None:
    """Make the change."""
    if op.get_bind().dialect.name == "sqlite":
        for deed in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER spec_version_no_{deed.lower()} BEFORE {deed} ON spec_version "
                f"BEGIN SELECT RAISE(ABORT, '{_MESSAGE}'); END"
            )
    else:
        op.execute(
            "CREATE FUNCTION spec_version_frozen() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{_MESSAGE}'; END $$"
        )
        op.execute(
            "CREATE TRIGGER spec_version_frozen BEFORE UPDATE OR DELETE ON spec_version "
            "FOR EACH ROW EXECUTE FUNCTION spec_version_frozen()"
        )


def downgrade() -> None:
    """Take it back."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TRIGGER spec_version_no_update")
        op.execute("DROP TRIGGER spec_version_no_delete")
    else:
        op.execute("DROP TRIGGER spec_version_frozen ON spec_version")
        op.execute("DROP FUNCTION spec_version_frozen()")
