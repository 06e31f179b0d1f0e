"""Opening the database: one SQLite file by default, PostgreSQL for sheds that outgrow a machine."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, tzinfo
from pathlib import Path
from sqlite3 import Connection as SqliteConnection

from sqlalchemy import Connection, Engine, event, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import IntegrityError
from sqlalchemy.pool import ConnectionPoolEntry
from sqlmodel import Session, create_engine

from shedgrade.storage.history import Actor, act_as

_PRAGMAS = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "busy_timeout=10000",
)


_ZONE = "zone of the shed"


class Database:
    """A writer and a reader on the same data.

    On SQLite the writer begins with BEGIN IMMEDIATE: two writers then wait for each other instead of failing half
    way with "database is locked". Readers see the state at their first read and never wait (WAL).
    """

    def __init__(self, url: str, zone: tzinfo = UTC) -> None:
        """Take a database URL, or the path of an SQLite file; ``zone`` says what day it was in the shed."""
        self._zone = zone
        self.url = url if "://" in url else f"sqlite:///{Path(url).absolute()}"
        self.on_sqlite = make_url(self.url).get_backend_name() == "sqlite"
        self.writer = self._engine("BEGIN IMMEDIATE")
        self.reader = self._engine("BEGIN")

    @property
    def where(self) -> str:
        """Where the data are: the path of the SQLite file, or the address without its password."""
        url = make_url(self.url)
        return url.database or "" if self.on_sqlite else url.render_as_string(hide_password=True)

    @property
    def is_there(self) -> bool:
        """Whether there is something to open: an SQLite file would be made by opening it."""
        return not self.on_sqlite or Path(self.where).is_file()

    def _engine(self, begin: str) -> Engine:
        # hide_parameters: what the database says of a row it refused goes to the log, the row's values do not, among
        # which may be the hash of a password.
        if not self.on_sqlite:
            return create_engine(self.url, pool_pre_ping=True, hide_parameters=True)
        engine = create_engine(self.url, connect_args={"check_same_thread": False}, hide_parameters=True)
        event.listen(engine, "connect", _prepare)
        event.listen(engine, "begin", _beginning(begin))
        return engine

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that may change things, as the program itself until it is told for whom (:mod:`.history`); what is
        not committed by the end is dropped."""
        with Session(self.writer, expire_on_commit=False) as session:
            session.info[_ZONE] = self._zone
            act_as(session, Actor(None, "", datetime.now(UTC)))
            yield session

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that only reads."""
        with Session(self.reader, autoflush=False, expire_on_commit=False) as session:
            session.info[_ZONE] = self._zone
            yield session

    def close(self) -> None:
        """Give every connection back."""
        self.writer.dispose()
        self.reader.dispose()


def day_in_shed(session: Session, moment: datetime) -> date:
    """The day it was in the shed at a stored moment; in UTC where a session was opened without a shed."""
    zone: tzinfo = session.info.get(_ZONE, UTC)
    return moment.astimezone(zone).date()


def is_taken(problem: IntegrityError) -> bool:
    """Whether a UNIQUE rule refused the row: SQLite says so in words, PostgreSQL by SQLSTATE 23505."""
    return "UNIQUE constraint failed" in str(problem.orig) or getattr(problem.orig, "sqlstate", "") == "23505"


def _prepare(connection: DBAPIConnection, _record: ConnectionPoolEntry) -> None:
    assert isinstance(connection, SqliteConnection)
    connection.isolation_level = None  # the driver must not begin transactions of its own
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _beginning(statement: str) -> Callable[[Connection], None]:
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(statement)

    return begin
