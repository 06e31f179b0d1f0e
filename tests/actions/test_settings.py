"""Setting a rule of the shed, on both databases."""

from datetime import UTC, date, datetime, timedelta

import pytest

from shedgrade.actions.people import add_person
from shedgrade.actions.settings import DayPastError, RuleFacts, Setter, set_rule
from shedgrade.domain.people import Role
from shedgrade.domain.settings import KEEPING_YEARS, SHIFT_HOURS
from shedgrade.storage import settings
from shedgrade.storage.database import Database
from shedgrade.storage.stale import StaleError

TODAY = date(2026, 1, 14)
BY = Setter(1, datetime(2026, 1, 14, 3, 20, tzinfo=UTC), TODAY)
SEVEN = RuleFacts(7, TODAY, "our own choice")


@pytest.fixture
def shed(database: Database) -> Database:
    with database.writing() as session:
        add_person(session, "Ada Thorne", frozenset({Role.MANAGER}))
        session.commit()
    return database


def test_keeps_each_value_with_who_set_it(shed: Database) -> None:
    with shed.writing() as session:
        set_rule(session, KEEPING_YEARS, SEVEN, 1, BY)
        set_rule(session, KEEPING_YEARS, RuleFacts(8, TODAY + timedelta(days=1), "a buyer's rule"), 2, BY)
        session.commit()
    with shed.reading() as session:
        values = settings.values_of(session, KEEPING_YEARS)
        assert [(int(each.row.value), each.row.source, each.by) for each in values] == [
            (8, "a buyer's rule", "Ada Thorne"),
            (7, "our own choice", "Ada Thorne"),
        ]
        assert values[0].row.set_at == BY.now


@pytest.mark.parametrize("version", [0, 1, 3])
def test_a_stale_value_is_not_kept(shed: Database, version: int) -> None:
    with shed.writing() as session:
        set_rule(session, KEEPING_YEARS, SEVEN, 1, BY)
        set_rule(session, SHIFT_HOURS, SEVEN, 1, BY)  # each rule counts for itself
        with pytest.raises(StaleError):
            set_rule(session, KEEPING_YEARS, SEVEN, version, BY)
        assert settings.version_of(session, KEEPING_YEARS) == 2


def test_days_that_are_over_keep_their_rule(shed: Database) -> None:
    with shed.writing() as session:
        with pytest.raises(DayPastError, match="That day is over"):
            set_rule(session, KEEPING_YEARS, RuleFacts(7, TODAY - timedelta(days=1), "our own choice"), 1, BY)
        assert settings.values_of(session, KEEPING_YEARS) == []
