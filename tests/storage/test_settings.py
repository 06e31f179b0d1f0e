"""What holds on which day, and until when records are kept, on both databases."""

from datetime import UTC, date, datetime

import pytest
from sqlmodel import Session

from shedgrade.actions.people import add_person
from shedgrade.domain.people import Role
from shedgrade.domain.settings import IDLE_MINUTES, KEEPING_YEARS, Rule
from shedgrade.storage import settings
from shedgrade.storage.database import Database
from shedgrade.storage.tables import SettingRow

MADE = datetime(2026, 1, 14, 23, 30, tzinfo=UTC)


def put(session: Session, value: int, begins: date, rule: Rule[int] = KEEPING_YEARS) -> None:
    session.add(SettingRow(key=rule.key, valid_from=begins, value=str(value), source="a law", set_at=MADE, set_by_id=1))
    session.flush()


@pytest.fixture
def shed(database: Database) -> Database:
    with database.writing() as session:
        add_person(session, "Ada Thorne", frozenset({Role.MANAGER}))
        session.commit()
    return database


def test_a_rule_has_its_default_until_the_day_another_begins(shed: Database) -> None:
    with shed.writing() as session:
        put(session, 20, date(2026, 2, 1), IDLE_MINUTES)
        put(session, 30, date(2026, 3, 1), IDLE_MINUTES)
        days = [date(2026, 1, 31), date(2026, 2, 1), date(2026, 2, 28), date(2026, 3, 1), date.max]
        assert [settings.in_force(session, IDLE_MINUTES, day) for day in days] == [10, 20, 20, 30, 30]
        assert settings.in_force(session, KEEPING_YEARS, date.max) == 6


def test_of_one_day_the_last_entered_counts_and_the_other_is_called_replaced(shed: Database) -> None:
    with shed.writing() as session:
        put(session, 9, date(2026, 1, 1))
        put(session, 8, date(2026, 1, 1))
        assert settings.in_force(session, KEEPING_YEARS, date(2026, 1, 1)) == 8
        told = [(int(each.row.value), each.replaced) for each in settings.values_of(session, KEEPING_YEARS)]
        assert told == [(8, False), (9, True)]


@pytest.mark.parametrize(
    ("stored", "until"),
    [
        ([], date(2032, 1, 14)),
        ([(7, date(2026, 1, 1))], date(2033, 1, 14)),
        ([(7, date(2026, 1, 14))], date(2033, 1, 14)),
        ([(7, date(2026, 5, 1))], date(2033, 1, 14)),  # made longer afterwards: longer for what is there, too
        ([(7, date(2026, 1, 1)), (2, date(2026, 5, 1))], date(2033, 1, 14)),  # made shorter: what was promised stands
        ([(9, date(2025, 1, 1)), (7, date(2026, 1, 1))], date(2033, 1, 14)),
        ([(90, date(2026, 5, 1)), (7, date(2026, 5, 1))], date(2033, 1, 14)),  # a slip, replaced
        ([(1, date(2026, 1, 1))], date(2027, 1, 14)),
    ],
)
def test_keeps_for_the_longest_time_promised(shed: Database, stored: list[tuple[int, date]], until: date) -> None:
    with shed.writing() as session:
        for value, begins in stored:
            put(session, value, begins)
        assert settings.kept_until(session, MADE) == until
