"""Publishing specs: by content, once, never changed."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from hashlib import sha256

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from shedgrade.actions.specs import publish, publish_standards
from shedgrade.domain.spec import library
from shedgrade.storage import specs
from shedgrade.storage.database import Database
from shedgrade.storage.missing import MissingError

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)
CODEX = library.standards()["mango-codex-cxs184"]


def test_a_spec_is_stored_by_its_content_and_read_back_equal(database: Database) -> None:
    with database.writing() as session:
        row = publish(session, CODEX, NOW)
        assert row.sha256 == sha256(row.content.encode()).hexdigest()
        assert (row.spec_key, row.version, row.title, row.crop_id) == (CODEX.id, 1, CODEX.title, "mango")
        assert specs.spec_of(session, row.id or 0) == CODEX


def test_the_same_content_is_the_row_that_is_there(database: Database) -> None:
    with database.writing() as session:
        first = publish(session, CODEX, NOW)
        again = publish(session, replace(CODEX), NOW + timedelta(days=1))
        assert again.id == first.id
        assert again.published_at == NOW
        assert len(specs.versions(session)) == 1


def test_other_content_is_the_next_version(database: Database) -> None:
    with database.writing() as session:
        publish(session, CODEX, NOW)
        changed = publish(session, replace(CODEX, edition="1993, amended"), NOW)
        back = publish(session, CODEX, NOW)
        assert (changed.version, back.version) == (2, 1)
        assert [row.version for row in specs.newest(session)] == [2]


def test_equal_content_is_one_spec_so_that_its_plan_is_made_once(database: Database) -> None:
    with database.writing() as session:
        row = publish(session, CODEX, NOW)
        assert specs.spec_of(session, row.id or 0) is specs.spec_in(row)


def test_every_standard_goes_in_and_a_second_start_adds_none(database: Database) -> None:
    with database.writing() as session:
        first = publish_standards(session, NOW)
        again = publish_standards(session, NOW + timedelta(days=1))
        assert set(first) == set(library.standards())
        assert {key: row.id for key, row in first.items()} == {key: row.id for key, row in again.items()}
        assert len(specs.versions(session)) == len(library.standards())


def test_the_database_refuses_to_change_a_published_version(database: Database) -> None:
    with database.writing() as session:
        publish(session, CODEX, NOW)
        with pytest.raises(DBAPIError):
            session.execute(text("UPDATE spec_version SET content = 'id = 1'"))


def test_a_version_there_is_not(database: Database) -> None:
    with database.writing() as session, pytest.raises(MissingError):
        specs.spec_of(session, 999)
