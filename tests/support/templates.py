"""A migrated database made once and copied for every test: a copy takes milliseconds, migrating and filling seconds."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from sqlalchemy import create_engine, make_url, text

from shedgrade.storage.database import Database
from shedgrade.storage.migrate import upgrade


class SqliteTemplate:
    """A migrated SQLite file, filled if so wanted, and copies of it."""

    def __init__(self, folder: Path, fill: Callable[[Database], None] | None = None) -> None:
        self._file = folder / "template.db"
        database = Database(str(self._file))
        upgrade(database)
        if fill:
            fill(database)
        database.close()

    @contextmanager
    def copy(self, folder: Path) -> Iterator[Database]:
        """Yield a copy in the folder, and close it afterwards."""
        file = folder / "shed.db"
        shutil.copyfile(self._file, file)
        database = Database(str(file))
        try:
            yield database
        finally:
            database.close()


class PostgresTemplate:
    """A migrated PostgreSQL database and copies of it beside it on the same server."""

    def __init__(self, server_url: str) -> None:
        self._server = make_url(server_url)
        self._admin = create_engine(self._server, isolation_level="AUTOCOMMIT")
        self._numbers = count(1)
        self._say("CREATE DATABASE template_shed")
        database = Database(self._url("template_shed"))
        upgrade(database)
        database.close()

    @contextmanager
    def copy(self) -> Iterator[Database]:
        """Yield a copy, and drop it afterwards."""
        with self._created("TEMPLATE template_shed") as database:
            yield database

    @contextmanager
    def empty(self) -> Iterator[Database]:
        """Yield a database without a table, and drop it afterwards."""
        with self._created("") as database:
            yield database

    def close(self) -> None:
        """Give the connection back."""
        self._admin.dispose()

    @contextmanager
    def _created(self, how: str) -> Iterator[Database]:
        name = f"shed_{next(self._numbers)}"
        self._say(f"CREATE DATABASE {name} {how}")
        database = Database(self._url(name))
        try:
            yield database
        finally:
            database.close()
            self._say(f"DROP DATABASE {name} WITH (FORCE)")

    def _url(self, name: str) -> str:
        return self._server.set(database=name).render_as_string(hide_password=False)

    def _say(self, statement: str) -> None:
        with self._admin.connect() as connection:
            connection.execute(text(statement))
