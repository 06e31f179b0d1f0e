"""Tablets, sign-ins and failed tries, as both databases keep them."""

from datetime import timedelta

import pytest
from sqlmodel import Session, select

from shedgrade.actions.people import add_person
from shedgrade.actions.sign_ins import end, register_tablet, sign_in
from shedgrade.domain.people import Person, Role
from shedgrade.domain.sign_in import Tried
from shedgrade.storage import sign_ins
from shedgrade.storage.database import Database
from shedgrade.storage.missing import MissingError
from shedgrade.storage.people import person_whole
from shedgrade.storage.sign_ins import Good
from shedgrade.storage.tables import FailedTries, SignIn
from tests.support.signing import NOON, PASSWORD, PIN, somebody

ADA = Tried.name("Ada")


def person_of(session: Session, person_id: int) -> Person:
    return person_whole(session, person_id).person


def test_a_token_finds_its_person_until_the_sign_in_ends(database: Database) -> None:
    ada = somebody(database, "Ada", Role.GRADER, Role.SUPERVISOR)
    with database.writing() as session:
        opened = sign_in(session, ada, "Firefox on Linux", NOON)
        found = sign_ins.signed_in(session, opened.token)
        assert (found.person.id, found.person.roles) == (ada, frozenset({Role.GRADER, Role.SUPERVISOR}))
        assert (found.device, found.tablet_id) == ("Firefox on Linux", None)
        end(session, session.get_one(SignIn, opened.id), ada, NOON)
        session.flush()
        with pytest.raises(MissingError):
            sign_ins.signed_in(session, opened.token)


def test_only_the_hash_of_a_token_is_kept(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        opened = sign_in(session, ada, "", NOON)
        assert opened.token not in str(session.get_one(SignIn, opened.id))
        with pytest.raises(MissingError):
            sign_ins.signed_in(session, sign_ins.hashed(opened.token))


def test_who_has_left_holds_nothing(database: Database) -> None:
    ada = somebody(database, "Ada", password=PASSWORD, pin=PIN)
    with database.writing() as session:
        opened = sign_in(session, ada, "", NOON)
        tablet = register_tablet(session, "Bench 1", ada, NOON)
        sign_in(session, ada, "", NOON, tablet.id)
        person_whole(session, ada).row.active = False
        session.flush()
        with pytest.raises(MissingError):
            sign_ins.signed_in(session, opened.token)
        assert sign_ins.with_password(session, "Ada") is None
        assert sign_ins.names_on(session, tablet.id, NOON) == []


@pytest.mark.parametrize(("typed", "found"), [("Zoë Quill", True), (" zoë  quill", True), ("Zoe Quill", False)])
def test_a_name_is_found_however_it_is_typed(database: Database, typed: str, *, found: bool) -> None:
    zoe = somebody(database, "Zoë Quill", password=PASSWORD)
    with database.reading() as session:
        row = sign_ins.with_password(session, typed)
        assert (row is not None and row.id == zoe) is found


def test_who_has_no_password_cannot_sign_in_by_one(database: Database) -> None:
    somebody(database, "Ada", pin=PIN)
    with database.reading() as session:
        assert sign_ins.with_password(session, "Ada") is None


def test_a_tablet_shows_who_has_a_pin_or_has_proved_who_they_are_on_it(database: Database) -> None:
    bo, ada = somebody(database, "Bo", pin=PIN), somebody(database, "Ada", password=PASSWORD)
    somebody(database, "Cass", password=PASSWORD)
    with database.writing() as session:
        here = register_tablet(session, "Bench 1", ada, NOON).id
        elsewhere = register_tablet(session, "Bench 2", ada, NOON).id
        sign_in(session, ada, "", NOON, here)
        sign_in(session, bo, "", NOON, elsewhere)
        names = sign_ins.names_on(session, here, NOON - timedelta(hours=12))
        assert [(each.row.name, each.on_shift is not None) for each in names] == [("Ada", True), ("Bo", False)]
        later = sign_ins.names_on(session, here, NOON + timedelta(seconds=1))
        assert [(each.row.name, each.on_shift) for each in later] == [("Bo", None)]


def test_a_sign_in_is_for_its_owner_and_for_who_keeps_people(database: Database) -> None:
    ada, bo = somebody(database, "Ada"), somebody(database, "Bo", Role.SUPERVISOR)
    keeper = somebody(database, "Maren", Role.MANAGER)
    with database.writing() as session:
        opened = sign_in(session, ada, "", NOON)
        for person_id in (ada, keeper):
            assert sign_ins.sign_in_for(session, person_of(session, person_id), opened.id).id == opened.id
        with pytest.raises(MissingError):
            sign_ins.sign_in_for(session, person_of(session, bo), opened.id)
        with pytest.raises(MissingError):
            sign_ins.sign_in_for(session, person_of(session, keeper), 9_999)


def test_a_list_of_devices_leaves_out_whose_time_is_over(database: Database) -> None:
    ada, bo = somebody(database, "Ada"), somebody(database, "Bo")
    with database.writing() as session:
        tablet = register_tablet(session, "Bench 1", ada, NOON).id
        sign_in(session, ada, "own, fresh", NOON)
        sign_in(session, ada, "own, old", NOON - timedelta(days=31))
        sign_in(session, ada, "tablet, old", NOON - timedelta(hours=13), tablet)
        sign_in(session, bo, "another's", NOON - timedelta(days=2))
        good = Good(NOON - timedelta(days=30), NOON - timedelta(hours=12))
        mine = [line.sign_in.browser for line in sign_ins.open_sign_ins(session, ada, good)]
        assert mine == ["own, fresh"]
        assert {line.person_name for line in sign_ins.open_sign_ins(session, None, good)} == {"Ada", "Bo"}
        assert len(sign_ins.open_sign_ins(session)) == 4


def test_failures_are_counted_and_old_ones_forgotten_but_of_a_pin(database: Database) -> None:
    sender, pin = Tried.sender("10.0.0.7"), Tried.pin(3)
    with database.writing() as session:
        for tried in (ADA, ADA, sender, pin):
            sign_ins.count_failure(session, tried, NOON)
        assert [getattr(sign_ins.failures(session, each), "failures", 0) for each in (ADA, sender, pin)] == [2, 1, 1]
        sign_ins.forget_old_failures(session, NOON + timedelta(hours=2))
        assert sign_ins.failures(session, sender) is None
        assert sign_ins.failures(session, ADA) is not None
        sign_ins.forget_old_failures(session, NOON + timedelta(days=400))
        assert [row.of for row in session.exec(select(FailedTries))] == ["pin 3"]


def test_counting_on_sees_what_was_counted_meanwhile(database: Database) -> None:
    with database.writing() as first:
        sign_ins.count_failure(first, ADA, NOON)
        first.commit()
        assert sign_ins.failures(first, ADA) is not None
        first.commit()
        with database.writing() as second:
            sign_ins.count_failure(second, ADA, NOON)
            second.commit()
        row = sign_ins.failures(first, ADA)
        assert row is not None
        assert row.failures == 2


def test_somebody_without_a_role_is_signed_in_all_the_same(database: Database) -> None:
    with database.writing() as session:
        opened = sign_in(session, add_person(session, "Ada", frozenset()), "", NOON)
        assert sign_ins.signed_in(session, opened.token).person.roles == frozenset()
