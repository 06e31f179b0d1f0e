"""Fixtures for every folder: databases of the two kinds, and the long tests that run only when asked for."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from rich.progress import Progress

from shedgrade.storage.database import Database
from tests.support.postgres import running_postgres
from tests.support.signing import Watch, counted
from tests.support.templates import PostgresTemplate, SqliteTemplate

# A slow machine fails no test: speed is the benchmarks' business.
settings.register_profile("shed", deadline=None)
settings.load_profile("shed")

SLOW_FIRST = ("browser", "walk")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the tests that take minutes, too")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """Single files are sooner done in one process than workers are started; for more, as many as there are cores."""
    return 0 if all(".py" in arg for arg in config.args) else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The folders of slow tests first: at the end there are short files to share out among the workers.

    Long tests are left out unless asked for: deselected, since a skipped test looks like one that could not run.
    """
    items.sort(key=_how_late)
    if config.getoption("--long"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    if long:
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if item not in long]


def _how_late(item: pytest.Item) -> int:
    folder = item.path.parent.name
    return SLOW_FIRST.index(folder) if folder in SLOW_FIRST else len(SLOW_FIRST)


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> SqliteTemplate:
    return SqliteTemplate(tmp_path_factory.mktemp("template"))


@pytest.fixture(scope="session")
def postgres_template(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Iterator[PostgresTemplate]:
    own = tmp_path_factory.getbasetemp()
    with running_postgres(own if worker_id == "master" else own.parent) as url:
        template = PostgresTemplate(url)
        yield template
        template.close()


@pytest.fixture
def sqlite_database(sqlite_template: SqliteTemplate, tmp_path: Path) -> Iterator[Database]:
    """A migrated, empty SQLite database of the test's own."""
    with sqlite_template.copy(tmp_path) as database:
        yield database


@pytest.fixture(scope="session")
def demo_template(tmp_path_factory: pytest.TempPathFactory) -> SqliteTemplate:
    # Imported here: only tests on the demo season wait for it.
    from shedgrade.demo.load import load  # noqa: PLC0415

    return SqliteTemplate(tmp_path_factory.mktemp("demo"), lambda database: load(database, Progress(disable=True)))


@pytest.fixture
def demo_database(demo_template: SqliteTemplate, tmp_path: Path) -> Iterator[Database]:
    """The demo season in an SQLite database of the test's own; the first test to ask waits some seconds."""
    with demo_template.copy(tmp_path) as database:
        yield database


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest) -> Iterator[Database]:
    """A migrated, empty database of the test's own: the test runs once on SQLite, once on PostgreSQL."""
    if request.param == "sqlite":
        yield request.getfixturevalue("sqlite_database")
    else:
        # Asked for by name: a run of SQLite tests alone starts no server.
        template: PostgresTemplate = request.getfixturevalue("postgres_template")
        with template.copy() as database:
            yield database


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database without a table: the test runs once on SQLite, once on PostgreSQL."""
    if request.param == "sqlite":
        database = Database(str(tmp_path / "shed.db"))
        yield database
        database.close()
    else:
        template: PostgresTemplate = request.getfixturevalue("postgres_template")
        with template.empty() as database:
            yield database


@pytest.fixture
def watch(monkeypatch: pytest.MonkeyPatch) -> Watch:
    """The clock that sign-ins go by, in the test's hand."""
    return Watch(monkeypatch)


@pytest.fixture
def verified(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The hashes that were worked out to check a password or a PIN."""
    return counted(monkeypatch)
