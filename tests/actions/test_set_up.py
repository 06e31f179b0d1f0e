"""The first shed manager: one, and only where there is nobody."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from sqlmodel import select

from shedgrade.actions.set_up import SomebodyThereError, make_first_manager
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.people import everyone_whole
from shedgrade.storage.tables import Change
from tests.support.signing import somebody


def test_the_first_is_shed_manager_and_it_is_told(database: Database) -> None:
    with database.writing() as session:
        make_first_manager(session, "Maren Holt", "hash")
        session.commit()
        (whole,) = everyone_whole(session)
        assert (whole.row.name, whole.row.password_hash) == ("Maren Holt", "hash")
        assert whole.person.roles == {Role.MANAGER}
        told = session.exec(select(Change).where(Change.noun == "person")).all()
        assert told
        assert "hash" not in "".join(change.after.replace("password_hash", "") for change in told)


def test_there_is_no_second_first(database: Database) -> None:
    somebody(database, "Ada")
    with database.writing() as session, pytest.raises(SomebodyThereError):
        make_first_manager(session, "Maren Holt", "hash")


def test_of_two_at_once_one_wins(database: Database) -> None:
    together = Barrier(2)

    def take_in(name: str) -> bool:
        together.wait()
        with database.writing() as session:
            try:
                make_first_manager(session, name, "hash")
            except SomebodyThereError:
                return False
            session.commit()
            return True

    with ThreadPoolExecutor(2) as pool:
        won = list(pool.map(take_in, ["Maren", "Bo"]))
    assert sorted(won) == [False, True]
    with database.reading() as session:
        assert len(everyone_whole(session)) == 1
