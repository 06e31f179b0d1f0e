"""A fresh copy of the season, on a clock that stands at its last day."""

import sys
from datetime import UTC, datetime, time
from pathlib import Path

from rich.console import Console
from rich.progress import Progress

from shedgrade.demo.load import load
from shedgrade.demo.season import season
from shedgrade.settings import Settings, data_folder
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import NewerSchemaError, upgrade


def prepare(port: int, *, keep: bool) -> tuple[Settings, Database]:
    """The demo's settings and database; ``keep`` goes on with the copy this port had before, if there is one."""
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
            load(database, progress, datetime.now(UTC) + demo_settings(str(file)).clock_shift)
    return demo_settings(str(file)), database


def demo_settings(database: str) -> Settings:
    """The demo shed's settings: its name, and a clock that stands at the season's last day."""
    story = season()
    midnight = datetime.combine(datetime.now(UTC), time(), UTC)
    shift = datetime.combine(story.last_day, time(), UTC) - midnight
    return Settings(database=database, shed_name=story.tables["shed"], clock_shift=shift, demo=True)


def greeting(said: str) -> str:
    """Where the demo is, and who to open it as."""
    names = ", ".join(person["name"] for person in season().tables["person"])
    return (
        f"{said}\n"
        f"Open it there and pick who you are: {names}, or a grower.\n"
        "Every name and figure in it is invented. Stop it with Ctrl-C."
    )


def _remove(file: Path) -> None:
    for each in (file, file.with_name(f"{file.name}-wal"), file.with_name(f"{file.name}-shm")):
        each.unlink(missing_ok=True)
