"""A new password on the shed's own machine."""

from pathlib import Path

import pytest
from sqlmodel import select
from typer.testing import CliRunner

from shedgrade.actions.people import add_person
from shedgrade.cli import app
from shedgrade.domain.people import Role
from shedgrade.domain.sign_in import PASSWORD_RULE
from shedgrade.storage.database import Database
from shedgrade.storage.hashing import fits
from shedgrade.storage.tables import PersonRow
from tests.support.signing import tablet
from tests.support.visitor import Visitor, parsed, words

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
def test_a_name_that_is_not_there_names_those_that_are_before_a_password_is_asked(sqlite_database: Database) -> None:
    code, said = give(sqlite_database, "Ada", GOOD)
    assert code == 1
    assert "Nobody here is called Ada. In the books: Ada Thorne." in said
    assert "New password" not in said


@pytest.mark.usefixtures("manager")
def test_the_rule_is_said_and_the_name_may_be_typed_as_it_comes(sqlite_database: Database) -> None:
    code, said = give(sqlite_database, " ada  THORNE", GOOD)
    assert code == 0
    assert PASSWORD_RULE in said
    assert "Ada Thorne signs in by the new password" in said


def test_a_database_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    missing = tmp_path / "shed.db"
    done = CliRunner().invoke(app, ["password", "Ada", "--database", str(missing)], input=f"{GOOD}\n{GOOD}\n")
    assert done.exit_code == 1
    assert f"There is no database at {missing}." in done.output
    assert "New password" not in done.output
    assert not missing.exists()


def test_the_sign_in_page_says_where_to_turn(sqlite_database: Database, manager: int) -> None:
    said = words(parsed(Visitor(sqlite_database, None).get("/sign-in")), "details")
    assert "Ask your shed manager" in said
    assert "shedgrade password" in said
    assert words(parsed(tablet(sqlite_database, manager).get("/sign-in")), "details") == said
