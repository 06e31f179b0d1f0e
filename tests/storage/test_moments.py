"""Times keep their moment whatever zone they came in, and a time without a zone is refused."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy import text
from sqlalchemy.exc import StatementError

from shedgrade.storage.database import Database
from shedgrade.storage.tables import Docket

BRISBANE = timezone(timedelta(hours=10))
MORNING = datetime(2026, 2, 3, 6, 30, 15, 250_000, tzinfo=BRISBANE)


def stored_docket(database: Database, received_at: datetime) -> Docket:
    with database.writing() as session:
        session.add(Docket(id=1, number="D-1", received_at=received_at))
        session.commit()
    with database.reading() as session:
        return session.get_one(Docket, 1)


def test_comes_back_as_the_same_moment_in_utc(database: Database) -> None:
    received_at = stored_docket(database, MORNING).received_at
    assert received_at == MORNING
    assert received_at.tzinfo is UTC
    assert received_at.hour == 20  # 06:30 in Brisbane is 20:30 of the day before in UTC


def test_is_utc_inside(database: Database) -> None:
    stored_docket(database, MORNING)
    with database.reading() as session:
        raw = session.execute(text("SELECT received_at FROM docket")).scalar_one()
    assert str(raw) == "2026-02-02 20:30:15.250000"


def test_without_a_zone_is_refused(database: Database) -> None:
    with pytest.raises(StatementError, match="has no time zone"):
        stored_docket(database, MORNING.replace(tzinfo=None))
