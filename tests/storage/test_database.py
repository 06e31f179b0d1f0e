"""One writer after the other, readers beside them, and the settings without which SQLite forgets the rules."""

from concurrent.futures import ThreadPoolExecutor
from concurrent.futures import TimeoutError as StillWaiting
from pathlib import Path

import pytest
from sqlalchemy import func, select, text
from sqlmodel import Session

from shedgrade.storage.database import Database
from shedgrade.storage.tables import Grower
from tests.support.good_rows import put

WRITERS = 4
EACH = 10


def growers(session: Session) -> int:
    return int(session.execute(select(func.count()).select_from(Grower)).scalar_one())


def add_next_docket(database: Database) -> None:
    """Read the highest number and write the next, as a form does that counts."""
    with database.writing() as session:
        number = session.execute(text("SELECT coalesce(max(id), 0) + 1 FROM docket")).scalar_one()
        put(session, "docket", id=number, number=str(number))
        session.commit()


@pytest.mark.parametrize(
    ("pragma", "value"),
    [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1), ("busy_timeout", 10_000)],
)
def test_every_connection_is_prepared(sqlite_database: Database, pragma: str, value: object) -> None:
    readers = sqlite_database.reader
    with sqlite_database.writer.connect() as writer, readers.connect() as first, readers.connect() as second:
        for connection in (writer, first, second):
            assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar_one() == value


def test_second_writer_waits_for_the_first(sqlite_database: Database) -> None:
    def second() -> None:
        with sqlite_database.writing() as session:
            put(session, "grower", id=2, name="Second")
            session.commit()

    with ThreadPoolExecutor() as pool, sqlite_database.writing() as session:
        put(session, "grower")
        waiting = pool.submit(second)
        with pytest.raises(StillWaiting):
            waiting.result(timeout=0.2)
        session.commit()
        waiting.result(timeout=10)
    with sqlite_database.reading() as session:
        assert growers(session) == 2


def test_writers_that_read_first_all_get_through(sqlite_database: Database) -> None:
    """Begun without IMMEDIATE, such writers fail with "database is locked" or take the same number."""
    with ThreadPoolExecutor(WRITERS) as pool:
        for done in [pool.submit(add_next_docket, sqlite_database) for _ in range(WRITERS * EACH)]:
            done.result(timeout=30)
    with sqlite_database.reading() as session:
        assert session.execute(text("SELECT max(id), count(*) FROM docket")).one() == (WRITERS * EACH, WRITERS * EACH)


def test_reader_does_not_wait_and_sees_what_was_committed(database: Database) -> None:
    with database.writing() as writing, database.reading() as reading:
        put(writing, "grower")
        assert growers(reading) == 0
        writing.commit()
    with database.reading() as reading:
        assert growers(reading) == 1


def test_reader_keeps_its_state_while_others_write(sqlite_database: Database) -> None:
    with sqlite_database.reading() as reading, sqlite_database.writing() as writing:
        assert growers(reading) == 0
        put(writing, "grower")
        writing.commit()
        assert growers(reading) == 0


def test_what_is_not_committed_is_dropped(database: Database) -> None:
    with database.writing() as session:
        put(session, "grower")
    with database.reading() as session:
        assert growers(session) == 0


def test_a_path_names_an_sqlite_file(tmp_path: Path) -> None:
    file = tmp_path / "the shed.db"
    database = Database(str(file))
    with database.writing() as session:
        session.execute(text("CREATE TABLE anything (id INTEGER)"))
        session.commit()
    database.close()
    assert database.on_sqlite
    assert file.read_bytes().startswith(b"SQLite format 3")
