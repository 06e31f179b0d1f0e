"""Starting the demo: a fresh copy of the season on a clock that stands at its last day."""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from socket import AF_INET, AF_INET6, create_server

from rich.console import Console
from rich.progress import Progress

from shedgrade.demo.load import load
from shedgrade.demo.season import season
from shedgrade.settings import Settings, data_folder
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import NewerSchemaError, upgrade
from shedgrade.web.serving import run


def start(host: str, port: int, *, keep: bool) -> None:
    """Serve the demo season until stopped; ``keep`` goes on with the copy this port had before, if there is one."""
    _refuse_taken(host, port)
    file = data_folder() / f"demo-{port}.db"
    goes_on = keep and file.exists()
    if not goes_on:
        _remove(file)
    database = Database(str(file))
    try:
        upgrade(database)
    except NewerSchemaError as mistake:
        sys.exit(f"shedgrade cannot go on with this demo: {mistake}. Leave out --keep for a fresh one.")
    if not goes_on:
        with Progress(console=Console(stderr=True), transient=True) as progress:
            load(database, progress)
    run(demo_settings(str(file)), database, host, port, _greeting)


def demo_settings(database: str) -> Settings:
    """The demo shed's settings: its name, and a clock that stands at the season's last day."""
    story = season()
    shift = datetime.combine(story.last_day, datetime.min.time(), UTC) - datetime.combine(
        datetime.now(UTC), datetime.min.time(), UTC
    )
    return Settings(
        database=database,
        shed_name=story.tables["shed"],
        clock_shift=timedelta(days=shift.days),
        demo=True,
    )


def _greeting(address: str) -> str:
    people = season().tables["person"]
    names = ", ".join(person["name"] for person in people)
    return (
        f"The demo season is at {address}\n"
        f"Open it there and pick who you are: {names}, or a grower.\n"
        "Every name and figure in it is invented. Stop it with Ctrl-C."
    )


def _refuse_taken(host: str, port: int) -> None:
    """Say so before a minute is spent on a season nobody could open."""
    try:
        create_server((host, port), family=AF_INET6 if ":" in host else AF_INET).close()
    except OSError as mistake:
        sys.exit(f"shedgrade cannot listen on {host} port {port}: {mistake.strerror}. Try another --port.")


def _remove(file: Path) -> None:
    for each in (file, file.with_name(f"{file.name}-wal"), file.with_name(f"{file.name}-shm")):
        each.unlink(missing_ok=True)
