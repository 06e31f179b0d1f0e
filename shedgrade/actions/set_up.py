"""The first shed manager, for a shed whose books are empty."""

from sqlmodel import Session

from shedgrade.actions.people import add_person
from shedgrade.domain.people import Role
from shedgrade.storage import people


class SomebodyThereError(Exception):
    """There is somebody in the books already: they take in the others."""


def make_first_manager(session: Session, name: str, password_hash: str) -> int:
    """Take the first person into the books, as shed manager with a password; gives their id. SomebodyThereError."""
    people.hold_everybody(session)
    if not people.nobody_yet(session):
        raise SomebodyThereError
    person_id = add_person(session, name, frozenset({Role.MANAGER}))
    row = people.person_whole(session, person_id, to_change=True).row
    row.password_hash = password_hash
    session.add(row)
    session.flush()
    return person_id
