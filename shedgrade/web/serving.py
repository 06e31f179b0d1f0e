"""Starting the server on a database: brought to this program's schema first, with the standards in it."""

import logging
import secrets
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from socket import AF_INET, AF_INET6, create_server

import uvicorn
from sqlalchemy.exc import OperationalError

from shedgrade.actions.specs import publish_standards
from shedgrade.settings import SettingError, Settings, data_folder, from_environment
from shedgrade.storage import people
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import NewerSchemaError, upgrade
from shedgrade.web.addresses import Where, where
from shedgrade.web.app import create_app
from shedgrade.web.server import Server, TlsServer
from shedgrade.web.tls import Tls, UnusableError


def serve_own(host: str, port: int, database: str | None, plain_port: int | None = None) -> None:
    """Serve a shed's own data until stopped, with a ``plain_port`` by https; a plain sentence and exit code 1 if the
    database or the certificate cannot be used."""
    try:
        tls = None if plain_port is None else _tls(host, port, plain_port)
        settings = from_environment(database)
        opened = Database(settings.database, settings.zone)
        upgrade(opened)
    except (NewerSchemaError, SettingError, OperationalError, UnusableError, OSError) as mistake:
        sys.exit(f"shedgrade cannot start: {getattr(mistake, 'orig', None) or mistake}")
    token = make_ready(opened)
    run(settings, opened, host, port, lambda place: greeting(place, token, tls, host), token, tls)


def _tls(host: str, port: int, plain_port: int) -> Tls:
    # Only who serves by https waits for it.
    from shedgrade.web.certificates import names_here  # noqa: PLC0415
    from shedgrade.web.kept_certificates import Certificates  # noqa: PLC0415

    certificates = Certificates(data_folder() / "tls", lambda: names_here(host))
    certificates.renew()
    return Tls(certificates, port, plain_port)


def greeting(place: Where, set_up_token: str, tls: Tls | None = None, host: str = "") -> str:
    """Where it is; by https, where tablets get the authority and how it is known; and where nobody is in the books
    yet, the address that takes the first person in."""
    lines = [place.say("shedgrade")]
    if tls is not None:
        lines += [
            f"A tablet that does not trust it yet opens {where(host, tls.plain_port).pages('/')} first.",
            f"There it is shown this number of the authority, SHA-256: {tls.certificates.fingerprint()}",
        ]
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
    tls: Tls | None = None,
) -> None:
    """Serve until stopped; the greeting, made from where it is, is printed once the port is ours."""
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s %(message)s")
    app = create_app(settings, database, set_up_token, tls)
    config = uvicorn.Config(app, host=host, port=port, log_level="warning")
    if tls is None:
        server = Server(config, greeting(where(host, port)))
    else:
        server = TlsServer(app, config, greeting(where(host, port, "https")), tls)
    server.run()
