"""People as they are listed and found, on both databases."""

import pytest

from shedgrade.actions.people import add_person
from shedgrade.domain.people import Role
from shedgrade.storage import people
from shedgrade.storage.database import Database
from shedgrade.storage.missing import MissingError
from tests.support import season


def test_lists_everybody_by_name_with_roles_and_grower(database: Database) -> None:
    with database.writing() as session:
        grower_id = season.grower(session)
        add_person(session, "Zoe", frozenset({Role.GROWER, Role.GRADER}), grower_id)
        add_person(session, "Ada", frozenset({Role.MANAGER}))
        found = people.everyone_whole(session)
        assert [(each.row.name, each.person.role_words, each.grower_name) for each in found] == [
            ("Ada", "shed manager", ""),
            ("Zoe", "grader, grower", "Tallow Creek"),
        ]
        assert [each.name for each in people.everyone(session)] == ["Zoe", "Ada"]
        assert people.names_of(session) == {1: "Zoe", 2: "Ada"}


def test_managers_are_those_still_here(database: Database) -> None:
    with database.writing() as session:
        for name, role in (("Ada", Role.MANAGER), ("Bea", Role.MANAGER), ("Cy", Role.MANAGER), ("Dov", Role.GRADER)):
            add_person(session, name, frozenset({role}))
        people.person_whole(session, 3, to_change=True).row.active = False
        session.flush()
        assert [row.name for row in people.managers(session)] == ["Ada", "Bea"]


def test_nobody_is_missing(database: Database) -> None:
    with database.reading() as session:
        for find in (people.person, people.person_whole):
            with pytest.raises(MissingError):
                find(session, 77)
