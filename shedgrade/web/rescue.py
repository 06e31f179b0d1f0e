"""Getting back in on the shed's own machine, for whoever has forgotten their password and has no manager to ask."""

import sys
from collections.abc import Callable
from datetime import UTC, datetime

from sqlmodel import Session, select

from shedgrade.actions.sign_ins import set_password
from shedgrade.domain import sign_in
from shedgrade.domain.sign_in import name_key
from shedgrade.settings import from_environment
from shedgrade.storage.database import Database
from shedgrade.storage.hashing import hash_of
from shedgrade.storage.migrate import upgrade
from shedgrade.storage.tables import PersonRow


def give_password(name: str, ask: Callable[[], str], database: str | None) -> str:
    """Give the person of that name a new password, asked for once it is known that there is such a person; gives their
    name as it stands in the books. A plain sentence and exit code 1 if that cannot be.

    Who can write the database's file could change it anyway, so this asks for nothing more.
    """
    opened = Database(from_environment(database).database)
    if not opened.is_there:
        sys.exit(f"There is no database at {opened.where}. Give the one that shedgrade serve uses, by --database.")
    upgrade(opened)
    with opened.reading() as session:
        person_id = _named(session, name).id or 0
    try:
        kept = hash_of(sign_in.password(ask()))
    except ValueError as mistake:
        sys.exit(str(mistake))
    with opened.writing() as session:
        person = session.get_one(PersonRow, person_id)
        set_password(session, person, kept, person_id, datetime.now(UTC))
        session.commit()
    opened.close()
    return person.name


def _named(session: Session, name: str) -> PersonRow:
    rows = session.exec(select(PersonRow).where(PersonRow.active).order_by(PersonRow.name)).all()
    found = next((row for row in rows if name_key(row.name) == name_key(name)), None)
    if found is None:
        names = ", ".join(row.name for row in rows) or "nobody yet"
        sys.exit(f"Nobody here is called {name}. In the books: {names}.")
    return found
