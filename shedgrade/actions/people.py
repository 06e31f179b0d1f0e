"""Taking people into the books, changing what is written there, and letting them go."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from shedgrade.actions import sign_ins as signing
from shedgrade.domain.people import Role, mistakes_about_roles
from shedgrade.domain.sign_in import name_key
from shedgrade.storage import people, sign_ins
from shedgrade.storage.people import PersonWhole
from shedgrade.storage.stale import change_of
from shedgrade.storage.tables import PersonRole, PersonRow


class PersonError(ValueError):
    """Somebody cannot be kept as written: ``field`` is where it is wrong, the text is the sentence."""

    def __init__(self, field: str, sentence: str) -> None:
        """Say what is wrong, and with which of name, roles, grower, leaving."""
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, slots=True)
class PersonFacts:
    """What is written about somebody."""

    name: str
    roles: frozenset[Role]
    grower_id: int | None = None


@dataclass(frozen=True, slots=True)
class Giver:
    """Who gives or ends what people sign in with, by which sign-in of their own, and when."""

    person_id: int
    sign_in_id: int
    now: datetime


def add_person(session: Session, name: str, roles: frozenset[Role], grower_id: int | None = None) -> int:
    """Take a person into the books with their roles, nothing asked; gives their id."""
    row = PersonRow(name=name, grower_id=grower_id)
    session.add(row)
    session.flush()
    session.add_all(PersonRole(person_id=row.id or 0, role=role.value) for role in roles)
    session.flush()
    return row.id or 0


def take_in(session: Session, facts: PersonFacts, *, password_hash: str = "", pin_hash: str = "") -> int:
    """Take a person into the books as the shed manager typed them, with the hashes of a first password and PIN if there
    are any; gives their id. PersonError."""
    _refuse(session, facts)
    person_id = add_person(session, facts.name, facts.roles, facts.grower_id)
    row = people.person_whole(session, person_id).row
    row.password_hash, row.pin_hash = password_hash, pin_hash
    session.add(row)
    session.flush()
    return person_id


def change_person(session: Session, whole: PersonWhole, facts: PersonFacts, version: int) -> None:
    """Write somebody's new name, roles and grower; PersonError, and StaleError if somebody saved meanwhile."""
    row = whole.row
    _refuse(session, facts, but=row.id)
    if Role.MANAGER not in facts.roles:
        _keep_a_manager(session, whole, "roles")
    change_of(row, version)
    row.name, row.grower_id = facts.name, facts.grower_id
    session.add(row)
    _change_roles(session, row.id or 0, facts.roles)


def give_password(session: Session, row: PersonRow, kept: str, version: int, by: Giver) -> None:
    """Somebody's new password from the shed manager, by its hash; StaleError if somebody saved meanwhile. A manager who
    gives one to themselves stays signed in where they are."""
    change_of(row, version)
    signing.set_password(session, row, kept, by.person_id, by.now, but=by.sign_in_id)


def give_pin(session: Session, row: PersonRow, kept: str, version: int, by: Giver) -> None:
    """Somebody's new PIN from the shed manager, by its hash; StaleError if somebody saved meanwhile."""
    change_of(row, version)
    signing.set_pin(session, row, kept, by.person_id, by.now, but=by.sign_in_id)


def leave(session: Session, whole: PersonWhole, version: int, by: Giver) -> None:
    """Somebody has left: they stay in the books and can sign in no more, wherever they were signed in is ended.
    PersonError, and StaleError if somebody saved meanwhile."""
    _keep_a_manager(session, whole, "leaving")
    change_of(whole.row, version)
    whole.row.active = False
    session.add(whole.row)
    for line in sign_ins.open_sign_ins(session, whole.person.id):
        signing.end(session, line.sign_in, by.person_id, by.now)


def come_back(session: Session, whole: PersonWhole, version: int) -> None:
    """Somebody who had left is here again; StaleError if somebody saved meanwhile."""
    change_of(whole.row, version)
    whole.row.active = True
    session.add(whole.row)


def _refuse(session: Session, facts: PersonFacts, but: int | None = None) -> None:
    for field, sentence in mistakes_about_roles(facts.roles, facts.grower_id).items():
        raise PersonError(field, sentence)
    taken = {name_key(name) for person_id, name in people.names_of(session).items() if person_id != but}
    if name_key(facts.name) in taken:
        raise PersonError("name", f"There is somebody called {facts.name} already. Add a second name or an initial.")


def _keep_a_manager(session: Session, whole: PersonWhole, field: str) -> None:
    """A shed without a manager could never get one again. PersonError."""
    if not whole.row.active or Role.MANAGER not in whole.person.roles:
        return
    others = [row for row in people.managers(session) if row.id != whole.row.id]
    if not others:
        raise PersonError(field, f"{whole.row.name} is the only shed manager. Make somebody else one first.")
    if whole.row.password_hash and not any(other.password_hash for other in others):
        raise PersonError(
            field, f"No other shed manager has a password. Give {_names(others)} one first, or nobody could sign in."
        )


def _names(rows: Iterable[PersonRow]) -> str:
    return " or ".join(row.name for row in rows)


def _change_roles(session: Session, person_id: int, wanted: frozenset[Role]) -> None:
    had = people.roles_of(session, person_id)
    for role in Role:
        if role in wanted and role not in had:
            session.add(PersonRole(person_id=person_id, role=role.value))
        elif role in had and role not in wanted:
            session.delete(had[role])
    session.flush()
