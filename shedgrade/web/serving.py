"""Starting the server on a database: brought to this program's schema first, with the standards in it."""

import logging
import secrets
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from socket import AF_INET, AF_INET6, create_server, socket

import uvicorn
from sqlalchemy.exc import OperationalError

from shedgrade.actions.specs import publish_standards
from shedgrade.settings import SettingError, Settings, from_environment
from shedgrade.storage import people
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import NewerSchemaError, upgrade
from shedgrade.web.addresses import Where, where
from shedgrade.web.app import create_app


def serve_own(host: str, port: int, database: str | None) -> None:
    """Serve a shed's own data until stopped; a plain sentence and exit code 1 if the database cannot be used."""
    try:
        settings = from_environment(database)
        opened = Database(settings.database, settings.zone)
        upgrade(opened)
    except (NewerSchemaError, SettingError, OperationalError) as mistake:
        sys.exit(f"shedgrade cannot start: {getattr(mistake, 'orig', None) or mistake}")
    token = make_ready(opened)
    run(settings, opened, host, port, lambda place: greeting(place, token), token)


def greeting(place: Where, set_up_token: str) -> str:
    """Where it is, and where nobody is in the books yet, the address that takes the first person in."""
    lines = [place.say("shedgrade")]
    if set_up_token:
        lines += [
            "Nobody is in the books yet. Open this address, which works until the first shed manager is taken in:",
            place.pages(f"/set-up?token={set_up_token}"),
        ]
    return "\n".join(lines)


def refuse_taken(host: str, port: int) -> None:
    """Say that nobody could listen there, before anything else is done."""
    try:
        create_server((host, port), family=AF_INET6 if ":" in host else AF_INET).close()
    except OSError as mistake:
        sys.exit(f"shedgrade cannot listen on {host} port {port}: {mistake.strerror}. Try another --port.")


def make_ready(database: Database) -> str:
    """Put the standards in. Gives the token that opens the set-up page, "" if somebody is in the books already."""
    with database.writing() as session:
        publish_standards(session, datetime.now(UTC))
        token = secrets.token_urlsafe(32) if people.nobody_yet(session) else ""
        session.commit()
    return token


def run(
    settings: Settings,
    database: Database,
    host: str,
    port: int,
    greeting: Callable[[Where], str],
    set_up_token: str = "",
) -> None:
    """Serve until stopped; the greeting, made from where it is, is printed once the port is ours."""
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s %(message)s")
    server = _Server(
        uvicorn.Config(create_app(settings, database, set_up_token), host=host, port=port, log_level="warning"),
        greeting(where(host, port)),
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
