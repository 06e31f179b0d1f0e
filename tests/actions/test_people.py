"""People taken in, changed and let go, on both databases."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from threading import Barrier

import pytest
from sqlmodel import Session, select

from shedgrade.actions.people import Giver, PersonError, PersonFacts, change_person, come_back, leave, take_in
from shedgrade.domain.people import Role
from shedgrade.storage import people, sign_ins
from shedgrade.storage.database import Database
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import PersonRole
from tests.support import season
from tests.support.visitor import signed_in

BY = Giver(1, 0, datetime(2026, 1, 14, 3, 20, tzinfo=UTC))
ADA = PersonFacts("Ada Thorne", frozenset({Role.MANAGER}))
CY = PersonFacts("Cy", frozenset({Role.GRADER}))
BEA = PersonFacts("Bea Holm", frozenset({Role.MANAGER, Role.GRADER}))


def change(session: Session, person_id: int, facts: PersonFacts, version: int = 1) -> None:
    change_person(session, people.person_whole(session, person_id, to_change=True), facts, version)


def take_in_both(database: Database) -> None:
    with database.writing() as session:
        take_in(session, ADA)
        take_in(session, BEA)
        session.commit()


def managers(database: Database) -> int:
    with database.reading() as session:
        return len(session.exec(select(PersonRole).where(PersonRole.role == Role.MANAGER)).all())


def test_takes_in_and_changes(database: Database) -> None:
    with database.writing() as session:
        take_in(session, ADA)
        grower_id = season.grower(session)
        person_id = take_in(session, BEA, pin_hash="kept")
        change(session, person_id, PersonFacts("Bea", frozenset({Role.GROWER, Role.GRADER}), grower_id))
        session.commit()
    with database.reading() as session:
        whole = people.person_whole(session, person_id)
        assert (whole.row.name, whole.row.version, whole.grower_name) == ("Bea", 2, "Tallow Creek")
        assert whole.person.roles == {Role.GROWER, Role.GRADER}
        assert (whole.row.password_hash, whole.row.pin_hash) == ("", "kept")


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        (PersonFacts("ada  THORNE", frozenset({Role.GRADER})), "name"),
        (PersonFacts("Bea", frozenset()), "roles"),
        (PersonFacts("Bea", frozenset({Role.GROWER})), "grower"),
        (PersonFacts("Bea", frozenset({Role.GRADER}), grower_id=1), "grower"),
    ],
)
def test_refuses_before_anything_is_changed(database: Database, facts: PersonFacts, field: str) -> None:
    take_in_both(database)
    with database.writing() as session:
        with pytest.raises(PersonError) as refused:
            take_in(session, facts)
        with pytest.raises(PersonError) as refused_too:
            change(session, 2, facts)
        assert refused.value.field == refused_too.value.field == field
        session.commit()
    with database.reading() as session:
        assert [(each.row.name, each.row.version) for each in people.everyone_whole(session)] == [
            ("Ada Thorne", 1),
            ("Bea Holm", 1),
        ]


def test_a_name_may_be_kept_or_written_otherwise_by_its_owner(database: Database) -> None:
    take_in_both(database)
    with database.writing() as session:
        change(session, 1, PersonFacts("ADA THORNE", ADA.roles))


def test_a_stale_change_changes_nothing(database: Database) -> None:
    take_in_both(database)
    with database.writing() as session:
        whole = people.person_whole(session, 2, to_change=True)
        with pytest.raises(StaleError):
            change_person(session, whole, CY, 2)
        with pytest.raises(StaleError):
            leave(session, whole, 2, BY)
        with pytest.raises(StaleError):
            come_back(session, whole, 2)
        session.commit()
    with database.reading() as session:
        whole = people.person_whole(session, 2)
        assert (whole.row.name, whole.row.version, whole.row.active) == ("Bea Holm", 1, True)


def test_leaving_ends_the_sign_ins_and_coming_back_opens_none(database: Database) -> None:
    take_in_both(database)
    token = signed_in(database, 2)
    with database.writing() as session:
        leave(session, people.person_whole(session, 2), 1, BY)
        come_back(session, people.person_whole(session, 2), 2)
        session.commit()
    with database.reading() as session:
        assert sign_ins.held_by(session, token) is None
        assert people.person_whole(session, 2).row.active


def test_of_two_managers_who_demote_each_other_at_once_one_stays(database: Database) -> None:
    take_in_both(database)
    together = Barrier(2)

    def demote(person_id: int) -> bool:
        with database.writing() as session:
            together.wait()
            try:
                name = people.person(session, person_id).name
                change(session, person_id, PersonFacts(name, frozenset({Role.GRADER})))
                session.commit()
            except PersonError:
                return False
        return True

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(demote, (1, 2))) == [False, True]
    assert managers(database) == 1
