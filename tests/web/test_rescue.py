"""A new password on the shed's own machine."""

import pytest
from sqlmodel import select
from typer.testing import CliRunner

from shedgrade.actions.people import add_person
from shedgrade.cli import app
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.hashing import fits
from shedgrade.storage.tables import PersonRow
from tests.support.visitor import Visitor

GOOD = "three plain words"


@pytest.fixture
def manager(sqlite_database: Database) -> int:
    with sqlite_database.writing() as session:
        person_id = add_person(session, "Ada Thorne", frozenset({Role.MANAGER}))
        session.commit()
    return person_id


def give(database: Database, name: str, typed: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["password", name, "--database", database.url], input=f"{typed}\n{typed}\n")
    return done.exit_code, done.output


def kept(database: Database) -> str:
    with database.reading() as session:
        return session.exec(select(PersonRow.password_hash)).one()


def test_a_forgotten_password_is_replaced_and_the_old_sign_ins_end(sqlite_database: Database, manager: int) -> None:
    browser = Visitor(sqlite_database, manager)
    assert browser.get("/growers").status_code == 200
    code, said = give(sqlite_database, "Ada Thorne", GOOD)
    assert code == 0, said
    assert fits(GOOD, kept(sqlite_database))
    assert GOOD not in said
    assert browser.get("/growers").status_code == 303


@pytest.mark.usefixtures("manager")
def test_a_weak_password_changes_nothing(sqlite_database: Database) -> None:
    code, said = give(sqlite_database, "Ada Thorne", "short")
    assert code == 1
    assert "5 letters long" in said
    assert kept(sqlite_database) == ""


@pytest.mark.usefixtures("manager")
def test_a_name_that_is_not_there_names_those_that_are(sqlite_database: Database) -> None:
    code, said = give(sqlite_database, "Ada", GOOD)
    assert code == 1
    assert "Ada Thorne" in said
