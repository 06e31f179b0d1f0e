"""Taking people into the books."""

from sqlmodel import Session

from shedgrade.domain.people import Role
from shedgrade.storage.tables import PersonRole, PersonRow


def add_person(session: Session, name: str, roles: frozenset[Role], grower_id: int | None = None) -> int:
    """Take a person into the books with their roles; gives their id."""
    row = PersonRow(name=name, grower_id=grower_id)
    session.add(row)
    session.flush()
    session.add_all(PersonRole(person_id=row.id or 0, role=role.value) for role in roles)
    session.flush()
    return row.id or 0
