"""The steps lead to the tables, back and forth, on both databases; a newer schema is refused."""

import pytest
from alembic import command
from sqlalchemy import CheckConstraint, inspect, text
from sqlalchemy.exc import DBAPIError

from shedgrade.storage.database import Database
from shedgrade.storage.migrate import NewerSchemaError, config, current_revision, upgrade
from tests.support.good_rows import GOOD_ROWS, METADATA, put, put_all


def check(database: Database) -> None:
    """Fail where the database and the tables differ, as far as Alembic compares them."""
    with database.writer.begin() as connection:
        command.check(config(connection))


def table_names(database: Database) -> set[str]:
    with database.reader.connect() as connection:
        return set(inspect(connection).get_table_names())


def test_fresh_upgrade_makes_the_tables(empty_database: Database) -> None:
    upgrade(empty_database)
    assert table_names(empty_database) == set(METADATA.tables) | {"alembic_version"}
    check(empty_database)


def test_fresh_upgrade_makes_the_checks(empty_database: Database) -> None:
    """Alembic does not compare CHECK constraints."""
    upgrade(empty_database)
    with empty_database.reader.connect() as connection:
        for table in METADATA.sorted_tables:
            made = {rule["name"] for rule in inspect(connection).get_check_constraints(table.name)}
            assert made == {str(rule.name) for rule in table.constraints if isinstance(rule, CheckConstraint)}


def test_checks_say_the_same_as_the_tables(sqlite_database: Database) -> None:
    """Only SQLite keeps the words of a CHECK as they were written."""
    with sqlite_database.reader.connect() as connection:
        for table in METADATA.sorted_tables:
            made = {rule["name"]: rule["sqltext"] for rule in inspect(connection).get_check_constraints(table.name)}
            rules = [rule for rule in table.constraints if isinstance(rule, CheckConstraint)]
            assert made == {rule.name: str(rule.sqltext) for rule in rules}


def test_upgrading_twice_changes_nothing(database: Database) -> None:
    with database.writing() as session:
        put(session, "grower")
        session.commit()
    upgrade(database)
    check(database)
    with database.reading() as session:
        assert session.execute(text("SELECT name FROM grower")).scalar_one() == GOOD_ROWS["grower"]["name"]


def test_newer_schema_is_refused_and_left_alone(database: Database) -> None:
    with database.writer.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(NewerSchemaError, match=r"newer shedgrade \(schema 9999\)"):
        upgrade(database)
    with database.reader.connect() as connection:
        assert current_revision(connection) == "9999"


def test_down_to_nothing_and_up_again(database: Database) -> None:
    with database.writer.begin() as connection:
        command.downgrade(config(connection), "base")
    assert table_names(database) == {"alembic_version"}
    upgrade(database)
    check(database)


def test_drafts_and_prices_from_before_keep_what_they_say(database: Database) -> None:
    with database.writing() as session:
        put_all(session)
        session.execute(text("UPDATE spec_draft SET version = 3"))
        session.execute(text("UPDATE spec_draft_text SET version = 2, text_of = 2, content = 'before'"))
        put(session, "spec_draft_text", version=3, text_of=3, content="now")
        session.commit()
    with database.writer.begin() as connection:
        command.downgrade(config(connection), "0006")
        assert connection.execute(text("SELECT content FROM spec_draft")).scalar_one() == "now"
        connection.execute(text("UPDATE spec_draft SET content_before = 'before'"))
    upgrade(database)
    check(database)
    with database.reading() as session:
        texts = session.execute(text("SELECT version, content, text_of FROM spec_draft_text ORDER BY version"))
        assert texts.all() == [(2, "before", 2), (3, "now", 3)]
        assert session.execute(text("SELECT spec_version_id FROM price_list")).scalar_one() is None


@pytest.mark.parametrize(
    "deed",
    ["UPDATE spec_version SET title = 'Another'", "UPDATE spec_version SET version = 2", "DELETE FROM spec_version"],
)
def test_published_spec_never_changes(database: Database, deed: str) -> None:
    with database.writing() as session:
        put(session, "spec_version")
        session.commit()
    with database.writing() as session, pytest.raises(DBAPIError, match="a published spec version never changes"):
        session.execute(text(deed))
    with database.reading() as session:
        title, version = session.execute(text("SELECT title, version FROM spec_version")).one()
    assert (title, version) == (GOOD_ROWS["spec_version"]["title"], 1)
