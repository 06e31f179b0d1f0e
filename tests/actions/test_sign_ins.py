"""Signing in and out, tablets, and how failures are counted; on both databases."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from sqlmodel import Session, select

from shedgrade.actions import sign_ins as actions
from shedgrade.actions.sign_ins import PinClosedError, TabletNameTakenError, TooManyTriesError
from shedgrade.domain.sign_in import FREE_FAILURES, FREE_OF_SENDER, PIN_FAILURES, Tried
from shedgrade.storage import sign_ins
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as, changes_of
from shedgrade.storage.missing import MissingError
from shedgrade.storage.nouns import SIGN_IN
from shedgrade.storage.people import person_whole
from shedgrade.storage.tables import FailedTries, SignIn, Tablet
from tests.support.signing import NOON, somebody

ADA, BO, HERE, THERE = Tried.name("Ada"), Tried.name("Bo"), Tried.sender("10.0.0.7"), Tried.sender("10.0.0.8")


def failures(session: Session) -> dict[str, int]:
    names = {ADA.key: "Ada", BO.key: "Bo", HERE.key: "here", THERE.key: "there"}
    return {names.get(row.of, row.of): row.failures for row in session.exec(select(FailedTries))}


def fail(session: Session, times: int, *tried: Tried) -> None:
    for _ in range(times):
        actions.begin_try(session, tried, NOON)


def test_each_sign_in_has_a_token_of_its_own(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        tokens = {actions.sign_in(session, ada, "", NOON).token for _ in range(5)}
        assert len(tokens) == 5
        assert min(map(len, tokens)) >= 43  # 32 bytes


def test_renewing_makes_the_old_token_open_nothing(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        old = actions.sign_in(session, ada, "", NOON)
        new = actions.renew(session, session.get_one(SignIn, old.id), NOON)
        assert (new.id, sign_ins.signed_in(session, new.token).id) == (old.id, old.id)
        with pytest.raises(MissingError):
            sign_ins.signed_in(session, old.token)


def test_put_aside_it_stays_open_and_no_token_opens_it(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        opened = actions.sign_in(session, ada, "", NOON)
        row = session.get_one(SignIn, opened.id)
        actions.put_aside(session, row)
        assert row.ended_at is None
        assert sign_ins.ever_held_by(session, opened.token) is None


def test_fallen_idle_its_token_says_whose_it_is_and_nobody_was_there_later(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        opened = actions.sign_in(session, ada, "", NOON)
        row = session.get_one(SignIn, opened.id)
        actions.fall_idle(session, row, NOON - timedelta(minutes=2))
        assert row.seen_at == NOON - timedelta(minutes=2)
        actions.fall_idle(session, row, NOON)
        assert row.seen_at == NOON - timedelta(minutes=2)
        assert sign_ins.ever_held_by(session, opened.token) is row


def test_an_ended_token_still_says_whose_it_was(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        opened = actions.sign_in(session, ada, "", NOON)
        actions.end(session, session.get_one(SignIn, opened.id), ada, NOON)
        held = sign_ins.ever_held_by(session, opened.token)
        assert held is not None
        assert held.person_id == ada
        assert (sign_ins.held_by(session, opened.token), sign_ins.ever_held_by(session, "")) == (None, None)


def test_ending_on_a_device_is_told_once(database: Database) -> None:
    ada, bo = somebody(database, "Ada"), somebody(database, "Bo")
    with database.writing() as session:
        act_as(session, Actor(bo, "Office", NOON))
        tablet = actions.register_tablet(session, "Bench 1", bo, NOON)
        row = session.get_one(SignIn, actions.sign_in(session, ada, "Firefox", NOON, tablet.id).id)
        for _ in range(2):
            actions.end_on_device(session, row, bo, NOON)
        session.flush()
        (told,) = changes_of(session, [(SIGN_IN, ada)])
        assert (told.by, told.device, told.after, told.deed) == ("Bo", "Office", {"device": "Bench 1"}, "removed")
        assert row.ended_by_id == bo


def test_ending_twice_keeps_who_ended_it_first(database: Database) -> None:
    ada, bo = somebody(database, "Ada"), somebody(database, "Bo")
    with database.writing() as session:
        row = session.get_one(SignIn, actions.sign_in(session, ada, "", NOON).id)
        actions.end(session, row, bo, NOON)
        actions.end(session, row, ada, NOON + timedelta(hours=1))
        assert (row.ended_by_id, row.ended_at) == (bo, NOON)


def test_ending_a_tablet_ends_its_sign_ins_and_no_others(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        tablet = actions.register_tablet(session, "Bench 1", ada, NOON)
        on_it, own = actions.sign_in(session, ada, "", NOON, tablet.id), actions.sign_in(session, ada, "", NOON)
        actions.end_tablet(session, session.get_one(Tablet, tablet.id), ada, NOON)
        session.flush()
        with pytest.raises(MissingError):
            sign_ins.signed_in(session, on_it.token)
        with pytest.raises(MissingError):
            sign_ins.tablet_of(session, tablet.token)
        assert sign_ins.signed_in(session, own.token).person.id == ada


def test_two_tablets_have_two_names_until_one_is_ended(database: Database) -> None:
    ada = somebody(database, "Ada")
    with database.writing() as session:
        first = actions.register_tablet(session, "Bench 1", ada, NOON)
        with pytest.raises(TabletNameTakenError, match="There is a tablet called BENCH 1 already"):
            actions.register_tablet(session, "BENCH 1", ada, NOON)
        actions.end_tablet(session, session.get_one(Tablet, first.id), ada, NOON)
        session.flush()
        assert actions.register_tablet(session, "Bench 1", ada, NOON).id != first.id


def test_a_try_is_counted_before_it_is_made(database: Database) -> None:
    with database.writing() as session:
        actions.begin_try(session, [ADA, HERE], NOON)
        assert failures(session) == {"Ada": 1, "here": 1}


def test_of_many_first_tries_at_once_no_more_are_let_through(database: Database) -> None:
    together = Barrier(10)

    def begin(_number: int) -> bool:
        together.wait()
        with database.writing() as session:
            try:
                actions.begin_try(session, [ADA, HERE], NOON)
            except TooManyTriesError:
                return False
            session.commit()
            return True

    with ThreadPoolExecutor(10) as pool:
        assert sum(pool.map(begin, range(10))) == FREE_FAILURES


def test_a_wait_runs_after_the_free_failures_and_counts_nothing(database: Database) -> None:
    with database.writing() as session:
        fail(session, FREE_FAILURES, ADA, HERE)
        with pytest.raises(TooManyTriesError) as slowed:
            actions.begin_try(session, [ADA, HERE], NOON + timedelta(seconds=1))
        assert slowed.value.wait == timedelta(seconds=1)
        assert failures(session) == {"Ada": FREE_FAILURES, "here": FREE_FAILURES}
        actions.begin_try(session, [ADA, HERE], NOON + timedelta(seconds=2))
        assert failures(session)["Ada"] == FREE_FAILURES + 1


def test_a_name_waits_wherever_the_tries_come_from_and_a_sender_whatever_the_name(database: Database) -> None:
    with database.writing() as session:
        fail(session, FREE_FAILURES, ADA, HERE)
        with pytest.raises(TooManyTriesError):
            actions.begin_try(session, [ADA, THERE], NOON)
        for number in range(FREE_OF_SENDER - FREE_FAILURES):
            actions.begin_try(session, [Tried.name(f"nobody {number}"), HERE], NOON)
        with pytest.raises(TooManyTriesError):
            actions.begin_try(session, [BO, HERE], NOON)
        actions.begin_try(session, [BO, THERE], NOON)


def test_success_forgives_the_name_and_takes_its_slips_off_the_sender(database: Database) -> None:
    with database.writing() as session:
        fail(session, 3, ADA, HERE)
        fail(session, 2, BO, HERE)
        actions.succeed(session, ADA, HERE)
        assert failures(session) == {"Bo": 2, "here": 2}
        actions.succeed(session, BO, HERE)
        assert failures(session) == {}
        actions.succeed(session, BO, HERE)


def test_a_pin_is_closed_until_it_is_forgiven(database: Database) -> None:
    pin, now = Tried.pin(3), NOON
    with database.writing() as session:
        for _ in range(PIN_FAILURES):
            actions.begin_try(session, [pin], now)
            now += timedelta(minutes=15)
        with pytest.raises(PinClosedError):
            actions.begin_try(session, [pin], now + timedelta(days=400))
        actions.forgive(session, [pin])
        actions.begin_try(session, [pin], now)


def test_a_new_password_ends_what_the_old_one_opened_but_here(database: Database) -> None:
    ada, bo = somebody(database, "Ada"), somebody(database, "Bo")
    with database.writing() as session:
        here, there = actions.sign_in(session, ada, "", NOON), actions.sign_in(session, ada, "", NOON)
        anothers = actions.sign_in(session, bo, "", NOON)
        fail(session, 3, ADA)
        actions.set_password(session, person_whole(session, ada).row, "hash", ada, NOON, here.id)
        session.flush()
        assert {line.sign_in.id for line in sign_ins.open_sign_ins(session)} == {here.id, anothers.id}
        assert session.get_one(SignIn, there.id).ended_by_id == ada
        assert failures(session) == {}


def test_a_new_pin_is_asked_for_by_every_tablet_and_opens_a_closed_one(database: Database) -> None:
    ada, keeper = somebody(database, "Ada"), somebody(database, "Maren")
    with database.writing() as session:
        tablet = actions.register_tablet(session, "Bench 1", keeper, NOON)
        own = actions.sign_in(session, ada, "", NOON)
        actions.sign_in(session, ada, "", NOON, tablet.id)
        fail(session, 3, Tried.pin(ada))
        actions.set_pin(session, person_whole(session, ada).row, "hash", keeper, NOON)
        session.flush()
        assert [line.sign_in.id for line in sign_ins.open_sign_ins(session, ada)] == [own.id]
        assert failures(session) == {}
