"""Quick looks on both databases: taps in order, the last one taken back, the whole voided."""

from datetime import UTC, datetime

import pytest
from sqlmodel import Session, select

from shedgrade.actions.quick_looks import NoFruitLeftError, NotTheLastError, TrayFacts, begin, take_back, tap
from shedgrade.actions.voiding import void
from shedgrade.domain.people import Person, Role
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as, changes_of
from shedgrade.storage.quick_looks import Look, look_for
from shedgrade.storage.tables import QuickLookFruit
from tests.support.bench import bench

NOW = datetime(2026, 2, 3, 12, tzinfo=UTC)
MANAGER = Person(1, "", frozenset({Role.MANAGER}))


def begun(session: Session, database_consignment: int, person_id: int, fruit: int = 2) -> int:
    act_as(session, Actor(person_id, "Bench tablet 1", NOW))
    return begin(session, database_consignment, TrayFacts(1700, 900, fruit), person_id, NOW).id or 0


def now(session: Session, look_id: int) -> Look:
    return look_for(session, MANAGER, look_id, lock=True)[1]


def test_taps_are_kept_in_order_until_no_fruit_is_left(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        look_id = begun(session, made.consignment, made.grader)
        assert now(session, look_id).net_g == 800
        tap(session, now(session, look_id), "I", "", made.grader, NOW)
        assert not now(session, look_id).is_done
        tap(session, now(session, look_id), "", "rot", made.grader, NOW)
        with pytest.raises(NoFruitLeftError):
            tap(session, now(session, look_id), "I", "", made.grader, NOW)
        session.commit()
    with database.reading() as session:
        assert [(each.class_id, each.kind) for each in look_for(session, MANAGER, look_id)[1].fruit] == [
            ("I", ""),
            ("", "rot"),
        ]


def test_a_tap_taken_back_stays_and_is_told(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        look_id = begun(session, made.consignment, made.grader)
        tap(session, now(session, look_id), "I", "", made.grader, NOW)
        first = now(session, look_id).fruit[0].id or 0
        tap(session, now(session, look_id), "", "rot", made.grader, NOW)
        last = now(session, look_id).fruit[1].id or 0
        with pytest.raises(NotTheLastError):
            take_back(session, now(session, look_id), first, made.grader, NOW)
        take_back(session, now(session, look_id), last, made.grader, NOW)
        take_back(session, now(session, look_id), last, made.grader, NOW)
        assert [each.id for each in now(session, look_id).fruit] == [first]
        tap(session, now(session, look_id), "I", "", made.grader, NOW)
        session.commit()
    with database.reading() as session:
        rows = session.exec(select(QuickLookFruit).order_by(QuickLookFruit.number)).all()  # type: ignore[arg-type]
        assert [(row.number, row.void_reason) for row in rows] == [(1, ""), (2, "undone"), (3, "")]
        told = changes_of(session, [("quick look fruit", last)])
        assert [(each.deed, each.after["number"]) for each in told] == [("voided", 2)]


def test_a_tap_of_another_look_is_not_taken_back(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        one, other = (begun(session, made.consignment, made.grader) for _ in range(2))
        tap(session, now(session, one), "I", "", made.grader, NOW)
        tap(session, now(session, other), "I", "", made.grader, NOW)
        fruit = now(session, one).fruit[0].id or 0
        with pytest.raises(NotTheLastError):
            take_back(session, now(session, other), fruit, made.grader, NOW)


def test_voided_once_the_first_reason_stays(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        look_id = begun(session, made.consignment, made.grader)
        row = now(session, look_id).row
        assert [void(session, row, why, made.grader, NOW) for why in ("wrong load", "wrong load", "wrong tray")] == [
            True,
            True,
            False,
        ]
        voided = now(session, look_id).voided
        assert voided is not None
        assert voided.reason == "wrong load"
