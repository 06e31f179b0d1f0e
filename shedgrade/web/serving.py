"""Starting the server on a database: brought to this program's schema first, with the standards in it."""

import logging
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from socket import AF_INET, AF_INET6, create_server, socket

import uvicorn
from sqlalchemy.exc import OperationalError

from shedgrade.actions import people as actions
from shedgrade.actions.specs import publish_standards
from shedgrade.domain.people import Role
from shedgrade.settings import SettingError, Settings, from_environment
from shedgrade.storage import people
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import NewerSchemaError, upgrade
from shedgrade.web.app import create_app


def serve_own(host: str, port: int, database: str | None, first_person: str) -> None:
    """Serve a shed's own data until stopped; a plain sentence and exit code 1 if the database cannot be used."""
    try:
        settings = from_environment(database)
        opened = Database(settings.database)
        upgrade(opened)
    except (NewerSchemaError, SettingError, OperationalError) as mistake:
        sys.exit(f"shedgrade cannot start: {getattr(mistake, 'orig', None) or mistake}")
    who = make_ready(opened, first_person)
    run(settings, opened, host, port, lambda address: f"shedgrade is at {address}\nOpen it there as {who}.")


def refuse_taken(host: str, port: int) -> None:
    """Say that nobody could listen there, before anything else is done."""
    try:
        create_server((host, port), family=AF_INET6 if ":" in host else AF_INET).close()
    except OSError as mistake:
        sys.exit(f"shedgrade cannot listen on {host} port {port}: {mistake.strerror}. Try another --port.")


def make_ready(database: Database, first_person: str) -> str:
    """Put the standards in and, where nobody is in the books yet, the first shed manager; says who can open it."""
    with database.writing() as session:
        publish_standards(session, datetime.now(UTC))
        if not people.everyone(session):
            actions.add_person(session, first_person, frozenset({Role.MANAGER}))
        names = [person.name for person in people.everyone(session)]
        session.commit()
    return " or ".join(names[:3])


def run(settings: Settings, database: Database, host: str, port: int, greeting: Callable[[str], str]) -> None:
    """Serve until stopped; the greeting, made from the address, is printed once the port is ours."""
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s %(message)s")
    shown = f"[{host}]" if ":" in host else {"0.0.0.0": "localhost"}.get(host, host)  # noqa: S104 - only how it is said
    server = _Server(
        uvicorn.Config(create_app(settings, database), host=host, port=port, log_level="warning"),
        greeting(f"http://{shown}:{port}"),
    )
    server.run()


class _Server(uvicorn.Server):
    """Says where it is once it listens, and not before."""

    def __init__(self, config: uvicorn.Config, greeting: str) -> None:
        super().__init__(config)
        self._greeting = greeting

    async def startup(self, sockets: list[socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            sys.stdout.write(f"{self._greeting}\n")
            sys.stdout.flush()
