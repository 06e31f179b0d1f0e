"""People by id, by name and as the shed manager keeps them."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy
from sqlmodel import Session, SQLModel, col, select

from shedgrade.domain.people import Person, Role
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import Grower, PersonRole, PersonRow


@dataclass(frozen=True, slots=True)
class PersonWhole:
    """Somebody with their roles and the name of the grower they speak for, "" where they speak for none."""

    row: PersonRow
    person: Person
    grower_name: str


def person(session: Session, person_id: int) -> Person:
    """The person with their roles; MissingError if there is none."""
    rows = session.connection().execute(_PERSON, {"person_id": person_id}).all()
    if not rows:
        raise MissingError
    return Person(person_id, rows[0][0], frozenset(Role(row[2]) for row in rows if row[2]), rows[0][1])


def everyone(session: Session) -> list[Person]:
    """Everybody, in the order they were entered."""
    return [whole.person for whole in sorted(_wholes(session), key=lambda whole: whole.person.id)]


def everyone_whole(session: Session) -> list[PersonWhole]:
    """Everybody in the books, those who have left too, by name."""
    return _wholes(session)


def person_whole(session: Session, person_id: int, *, to_change: bool = False) -> PersonWhole:
    """One person; MissingError. ``to_change`` holds the row against other writers until the end, and the managers'
    before it: whoever changes people waits at the same rows in the same order, so that nobody waits for each other."""
    if to_change:
        managers(session)
    query = select(PersonRow).where(PersonRow.id == person_id)
    row = session.exec(query.with_for_update() if to_change else query).first()
    if row is None:
        raise MissingError
    grower = session.get(Grower, row.grower_id) if row.grower_id is not None else None
    return _whole(row, roles_of(session, person_id), grower.name if grower else "")


def here(session: Session, person_id: int) -> PersonWhole:
    """One person who has not left; MissingError."""
    whole = person_whole(session, person_id)
    if not whole.row.active:
        raise MissingError
    return whole


def roles_of(session: Session, person_id: int) -> dict[Role, PersonRole]:
    """The roles one person has, as they are stored."""
    rows = session.exec(select(PersonRole).where(PersonRole.person_id == person_id))
    return {Role(row.role): row for row in rows}


def managers(session: Session) -> list[PersonRow]:
    """The active shed managers. A session that writes holds them until the end: of two managers who take each other's
    role away at the same moment one is refused."""
    query = (
        select(PersonRow)
        .join(PersonRole, col(PersonRole.person_id) == PersonRow.id)
        .where(PersonRole.role == Role.MANAGER, col(PersonRow.active))
        .order_by(col(PersonRow.id))
        .with_for_update()
    )
    return list(session.exec(query))


def nobody_yet(session: Session) -> bool:
    """Whether the books are empty: nobody was ever taken in."""
    return session.exec(select(PersonRow.id).limit(1)).first() is None


def hold_everybody(session: Session) -> None:
    """Let no other writer take somebody in until the end. SQLite has one writer at a time anyway."""
    if session.connection().dialect.name == "postgresql":
        session.connection().exec_driver_sql("LOCK TABLE person IN SHARE ROW EXCLUSIVE MODE")


def names_of(session: Session) -> dict[int, str]:
    """Every name in the books, by the person's id."""
    return {person_id or 0: name for person_id, name in session.exec(select(PersonRow.id, PersonRow.name))}


def _wholes(session: Session) -> list[PersonWhole]:
    roles: dict[int, list[Role]] = {}
    for role in session.exec(select(PersonRole)):
        roles.setdefault(role.person_id, []).append(Role(role.role))
    query = select(PersonRow, Grower.name).join(Grower, isouter=True).order_by(PersonRow.name)
    return [_whole(row, roles.get(row.id or 0, ()), name or "") for row, name in session.exec(query)]


def _whole(row: PersonRow, roles: Iterable[Role], grower_name: str) -> PersonWhole:
    return PersonWhole(row, Person(row.id or 0, row.name, frozenset(roles), row.grower_id), grower_name)


# Built once and on the tables: every request asks it.
_NAMED, _ROLES = SQLModel.metadata.tables["person"], SQLModel.metadata.tables["person_role"]
_PERSON = (
    sqlalchemy.select(_NAMED.c.name, _NAMED.c.grower_id, _ROLES.c.role)
    .join(_ROLES, _ROLES.c.person_id == _NAMED.c.id, isouter=True)
    .where(_NAMED.c.id == sqlalchemy.bindparam("person_id"))
)
