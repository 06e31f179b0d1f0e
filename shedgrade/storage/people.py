"""People by id and by name."""

from sqlmodel import Session, col, select

from shedgrade.domain.people import Person, Role
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import PersonRole, PersonRow


def person(session: Session, person_id: int) -> Person:
    """The person with their roles; MissingError if there is none."""
    rows = session.exec(
        select(PersonRow.id, PersonRow.name, PersonRow.grower_id, PersonRole.role)
        .join(PersonRole, isouter=True)
        .where(PersonRow.id == person_id)
    ).all()
    if not rows:
        raise MissingError
    return Person(person_id, rows[0][1], frozenset(Role(row[3]) for row in rows if row[3]), rows[0][2])


def everyone(session: Session) -> list[Person]:
    """Everybody, in the order they were entered."""
    ids = session.exec(select(PersonRow.id).order_by(col(PersonRow.id))).all()
    return [person(session, person_id) for person_id in ids if person_id is not None]
