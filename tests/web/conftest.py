"""A bench, and those who come to it most: fixtures for every test in this folder."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support.bench import Bench, bench
from tests.support.visitor import Visitor, visitor


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    return bench(sqlite_database)


@pytest.fixture
def grader(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.GRADER)


@pytest.fixture
def grower(sqlite_database: Database, made: Bench) -> Visitor:
    return visitor(sqlite_database, Role.GROWER, grower_id=made.grower)
