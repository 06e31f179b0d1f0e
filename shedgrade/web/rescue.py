"""Getting back in on the shed's own machine, for whoever has forgotten their password and has no manager to ask."""

import sys
from datetime import UTC, datetime

from sqlmodel import select

from shedgrade.actions.sign_ins import set_password
from shedgrade.domain import sign_in
from shedgrade.settings import from_environment
from shedgrade.storage.database import Database
from shedgrade.storage.hashing import hash_of
from shedgrade.storage.migrate import upgrade
from shedgrade.storage.tables import PersonRow


def give_password(name: str, typed: str, database: str | None) -> None:
    """Give the person of that name a new password; a plain sentence and exit code 1 if that cannot be.

    Who can write the database's file could change it anyway, so this asks for nothing more.
    """
    opened = Database(from_environment(database).database)
    upgrade(opened)
    try:
        kept = hash_of(sign_in.password(typed))
    except ValueError as mistake:
        sys.exit(str(mistake))
    with opened.writing() as session:
        person = session.exec(select(PersonRow).where(PersonRow.name == name, PersonRow.active)).first()
        if person is None:
            names = session.exec(select(PersonRow.name).where(PersonRow.active).order_by(PersonRow.name)).all()
            sys.exit(f"Nobody here is called {name}. In the books: {', '.join(names) or 'nobody yet'}.")
        set_password(session, person, kept, person.id or 0, datetime.now(UTC))
        session.commit()
    opened.close()
