"""Bringing a database to this program's schema, and refusing one that is newer."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from shedgrade.storage.database import Database

_MIGRATIONS = Path(__file__).parent / "migrations"


class NewerSchemaError(Exception):
    """The database was written by a newer program."""

    def __init__(self, revision: str) -> None:
        """Name the revision that this program does not know."""
        super().__init__(
            f"this database was last used by a newer shedgrade (schema {revision}); "
            "install that version or a newer one, or open another database"
        )


def config(connection: Connection | None = None) -> Config:
    """Alembic's settings, without a file of their own."""
    settings = Config()
    settings.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    settings.attributes["connection"] = connection
    return settings


def current_revision(connection: Connection) -> str | None:
    """The schema the database is at, or None for an empty one."""
    return MigrationContext.configure(connection).get_current_revision()


def upgrade(database: Database) -> None:
    """Bring the database to the newest schema in one transaction; NewerSchemaError if it is past that already."""
    known = {script.revision for script in ScriptDirectory.from_config(config()).walk_revisions()}
    with database.writer.begin() as connection:
        revision = current_revision(connection)
        if revision is not None and revision not in known:
            raise NewerSchemaError(revision)
        command.upgrade(config(connection), "head")
