"""People by id and by name."""

import sqlalchemy
from sqlmodel import Session, SQLModel, col, select

from shedgrade.domain.people import Person, Role
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import PersonRow


def person(session: Session, person_id: int) -> Person:
    """The person with their roles; MissingError if there is none."""
    rows = session.connection().execute(_PERSON, {"person_id": person_id}).all()
    if not rows:
        raise MissingError
    return Person(person_id, rows[0][0], frozenset(Role(row[2]) for row in rows if row[2]), rows[0][1])


def everyone(session: Session) -> list[Person]:
    """Everybody, in the order they were entered."""
    ids = session.exec(select(PersonRow.id).order_by(col(PersonRow.id))).all()
    return [person(session, person_id) for person_id in ids if person_id is not None]


# Built once and on the tables: every request asks it.
_NAMED, _ROLES = SQLModel.metadata.tables["person"], SQLModel.metadata.tables["person_role"]
_PERSON = (
    sqlalchemy.select(_NAMED.c.name, _NAMED.c.grower_id, _ROLES.c.role)
    .join(_ROLES, _ROLES.c.person_id == _NAMED.c.id, isouter=True)
    .where(_NAMED.c.id == sqlalchemy.bindparam("person_id"))
)
