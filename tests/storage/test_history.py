"""Every change of a record is written down with it, by whom and why; what is no record says why not."""

import ast
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy
from sqlmodel import Session, SQLModel, select

import shedgrade
from shedgrade.actions import intake, markets, prices, sample_files, samples, specs, trays
from shedgrade.actions.people import PersonFacts, add_person, change_person
from shedgrade.actions.settings import RuleFacts, Setter, set_rule
from shedgrade.actions.sign_ins import register_tablet
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.people import Role
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.settings import KEEPING_YEARS
from shedgrade.domain.spec import library
from shedgrade.storage import bench, people, tables
from shedgrade.storage import intake as books
from shedgrade.storage.database import Database
from shedgrade.storage.history import (
    Actor,
    NobodyActsError,
    Told,
    WrittenOnceError,
    act_as,
    act_as_nobody,
    changes_in,
    changes_of,
    last_change,
    tell,
)
from shedgrade.storage.nouns import NOT_RECORDED, NOT_TOLD, NOUNS, SECRETS, WRITTEN_ONCE
from shedgrade.storage.stale import StaleError, change_of
from tests.support import season
from tests.support.bench import bench as stored_bench
from tests.support.good_rows import put_all
from tests.support.intake import dock
from tests.support.intake import facts as of_a_truck
from tests.support.templates import PostgresTemplate

NOON = datetime(2026, 2, 3, 12, tzinfo=UTC)

# Statements made past the session's own objects, which the session cannot tell of.
PLAIN_STATEMENTS = {
    ("actions/draws.py", "insert(Draw)"): "no record before its first fruit",
    ("actions/draws.py", "update(Draw)"): "no record before its first fruit; later only where the bench is",
    ("actions/samples.py", "update(FruitRow)"): "the voiding of a fruit, which is noted",
    ("actions/samples.py", "sqlite.insert(_FRUIT)"): "a measured fruit says itself by whom and when",
    ("actions/samples.py", "postgresql.insert(_FRUIT)"): "a measured fruit says itself by whom and when",
    ("actions/samples.py", "_DEFECT.insert()"): "written once, with its fruit",
    ("actions/samples.py", "_MEASURE.insert()"): "written once, with its fruit",
    ("actions/samples.py", "_CAPTURE.insert()"): "written once, with its fruit",
    ("actions/sample_files.py", "insert(Draw)"): "written once, with its sample",
    ("actions/sample_files.py", "_FRUIT.insert()"): "a file's sample tells how many fruit it holds",
    ("actions/sample_files.py", "_DEFECT.insert()"): "written once, with its fruit",
    ("actions/sample_files.py", "_MEASURE.insert()"): "written once, with its fruit",
    ("actions/scales.py", "delete(ScaleReading)"): "a reading is no record",
    ("storage/sign_ins.py", "sqlalchemy.update(_SIGN_IN)"): "who was seen when is no record",
    ("storage/sign_ins.py", "sqlalchemy.delete(_FAILED)"): "failed tries are no record",
    ("storage/sign_ins.py", "insert(_FAILED)"): "failed tries are no record",
}


def recorded_tables() -> set[type[SQLModel]]:
    return {getattr(tables, name) for name in tables.__all__}


def plain_statements() -> Iterator[tuple[str, str]]:
    """Every insert, update and delete in the program that is not the session's own, by module."""
    home = Path(shedgrade.__file__).parent
    for path in home.rglob("*.py"):
        if "migrations" not in path.parts:
            calls = (node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call))
            yield from ((path.relative_to(home).as_posix(), _words(call)) for call in calls if _is_statement(call.func))


def _is_statement(func: ast.expr) -> bool:
    if isinstance(func, ast.Name):
        return func.id in {"insert", "update", "delete"}
    return (
        isinstance(func, ast.Attribute)
        and func.attr in {"insert", "update", "delete"}
        and isinstance(func.value, ast.Name)
        and (func.value.id in {"sqlalchemy", "sqlite", "postgresql"} or func.value.id.startswith("_"))
    )


def _words(call: ast.Call) -> str:
    of = ast.unparse(call.args[0]) if call.args else ""
    return f"{ast.unparse(call.func)}({of})"


def by(session: Session, name: str = "Ada Thorne", device: str = "Bench tablet 1", at: datetime = NOON) -> int:
    """Let the session act for somebody; gives their id."""
    person_id = season.shed_person(session, name, Role.MANAGER)
    act_as(session, Actor(person_id, device, at))
    return person_id


def told(session: Session, noun: str, row_id: int | None) -> list[Told]:
    session.flush()
    session.flush()  # what a flush tells goes out with the next one
    return changes_of(session, [(noun, row_id or 0)])


def test_every_table_stands_in_the_history_or_says_why_not() -> None:
    listed = [*NOUNS, *WRITTEN_ONCE, *NOT_RECORDED]
    assert set(listed) == recorded_tables()
    assert len(listed) == len(set(listed))
    assert all(len(reason.split()) > 2 for reason in (*WRITTEN_ONCE.values(), *NOT_RECORDED.values()))


def test_nothing_is_stored_past_the_session_without_a_reason() -> None:
    assert set(plain_statements()) == set(PLAIN_STATEMENTS)


def test_every_secret_of_a_recorded_table_is_known_as_one() -> None:
    columns = {column.name for table in NOUNS for column in SQLModel.metadata.tables[str(table.__tablename__)].c}
    assert {name for name in columns if "hash" in name or "token" in name or "password" in name} == SECRETS
    assert {"version", "content"} <= NOT_TOLD


def test_a_new_row_is_told_with_who_when_and_where(database: Database) -> None:
    with database.writing() as session:
        ada = by(session)
        grower_id = season.grower(session)
        session.commit()
    with database.reading() as session:
        change = last_change(session, "grower", grower_id)
    assert change is not None
    assert (change.by, change.person_id, change.device, change.at) == ("Ada Thorne", ada, "Bench tablet 1", NOON)
    assert (change.deed, change.before, change.after) == ("added", {}, {"name": "Tallow Creek"})
    assert change.where == "in Bench tablet 1"


def test_a_tablet_of_the_shed_is_known_as_one(database: Database) -> None:
    with database.writing() as session:
        ada = by(session)
        register_tablet(session, "Bench tablet 1", ada, NOON)
        (change,) = told(session, "grower", season.grower(session))
    assert change.where == "on Bench tablet 1"


def test_a_change_tells_what_it_was_and_what_it_is_and_nothing_else(database: Database) -> None:
    with database.writing() as session:
        by(session)
        row = session.get_one(tables.Grower, season.grower(session))
        row.name, row.contact, row.version = "Tallow Creek", "gate 2", 2
        session.add(row)
        newest = told(session, "grower", row.id)[0]
    assert (newest.deed, newest.before, newest.after) == ("changed", {"contact": ""}, {"contact": "gate 2"})


def test_a_save_that_changes_nothing_is_not_told(database: Database) -> None:
    with database.writing() as session:
        by(session)
        row = session.get_one(tables.Grower, season.grower(session))
        row.version += 1
        session.add(row)
        assert [change.deed for change in told(session, "grower", row.id)] == ["added"]


def test_what_is_not_kept_is_not_told(database: Database) -> None:
    with database.writing() as session:
        by(session)
        session.commit()
        season.grower(session)
        session.rollback()
    with database.reading() as session:
        assert changes_in(session, ["grower"]) == []


def test_a_session_that_nobody_answers_for_changes_nothing(database: Database) -> None:
    with database.writing() as session:
        act_as_nobody(session)
        with pytest.raises(NobodyActsError):
            season.grower(session)
    with database.reading() as session:
        assert session.exec(select(tables.Grower)).all() == []


def test_a_session_opened_outside_the_pages_is_the_program_itself(database: Database) -> None:
    with database.writing() as session:
        (change,) = told(session, "grower", season.grower(session))
    assert (change.by, change.person_id, change.where) == ("shedgrade itself", None, "")


@pytest.mark.parametrize("kind", list(WRITTEN_ONCE), ids=[kind.__name__ for kind in WRITTEN_ONCE])
def test_a_row_that_goes_with_another_is_never_changed_or_removed(
    sqlite_database: Database, kind: type[SQLModel]
) -> None:
    with sqlite_database.writing() as session:
        put_all(session)
        session.commit()
        row = session.exec(select(kind)).first()
        assert row is not None
        columns = [name for name, value in row if type(value) in {int, str} and _can_change(kind, name)]
        column = min(columns, key=lambda name: _how_ruled(kind, name))
        setattr(row, column, 7 if isinstance(getattr(row, column), int) else "other")
        with pytest.raises(WrittenOnceError):
            session.flush()
        session.rollback()
        session.delete(session.exec(select(kind)).one())
        with pytest.raises((WrittenOnceError, sqlalchemy.exc.IntegrityError)):
            session.flush()


def _can_change(kind: type[SQLModel], name: str) -> bool:
    """Whether no other row holds the column in place."""
    return name != "id" and not SQLModel.metadata.tables[str(kind.__tablename__)].c[name].foreign_keys


def _how_ruled(kind: type[SQLModel], name: str) -> tuple[bool, int]:
    """Whether a rule of the table names the column beside another one, and how many name it: one might refuse the
    change first."""
    table = SQLModel.metadata.tables[str(kind.__tablename__)]
    rules = [str(rule.sqltext) for rule in table.constraints if isinstance(rule, sqlalchemy.CheckConstraint)]
    ruled = [{each for each in table.c.keys() if re.search(rf"\b{each}\b", rule)} for rule in rules]  # noqa: SIM118
    mine = [columns for columns in ruled if name in columns]
    return any(len(columns) > 1 for columns in mine), len(mine)


def test_a_secret_is_told_without_its_value_and_an_empty_one_not_at_all(database: Database) -> None:
    with database.writing() as session:
        person_id = by(session)
        row = session.get_one(tables.PersonRow, person_id)
        for secret in ("first hash", "second hash", ""):
            row.password_hash = secret
            session.add(row)
            session.flush()
        changes = [change for change in told(session, "person", person_id) if change.deed == "changed"]
        written = session.execute(sqlalchemy.text("SELECT * FROM change")).all()
    assert [(change.before, change.after) for change in changes] == [
        ({"password_hash": "new"}, {"password_hash": ""}),
        ({"password_hash": "new"}, {"password_hash": "new"}),
        ({"password_hash": ""}, {"password_hash": "new"}),
    ]
    assert "hash'" not in str(written)
    assert "first" not in str(written)
    assert all("pin_hash" not in change.after for change in told(session, "person", person_id))


def test_roles_are_told_with_their_person(database: Database) -> None:
    with database.writing() as session:
        by(session)
        person_id = add_person(session, "Sela", frozenset({Role.GRADER}))
        whole = people.person_whole(session, person_id)
        change_person(session, whole, PersonFacts("Sela", frozenset({Role.SUPERVISOR})), 1)
        changes = told(session, "person", person_id)
    roles = {(each.deed, (each.after or each.before).get("role")) for each in changes}
    assert roles == {("added", None), ("added", "grader"), ("added", "supervisor"), ("removed", "grader")}


def test_what_is_told_besides_goes_with_the_next_change_only(database: Database) -> None:
    with database.writing() as session:
        by(session)
        row = tables.Grower(name="Tallow Creek")
        tell(row, why="a new contract", hands=4)
        session.add(row)
        session.flush()
        row.name = "Tallow Creek East"
        session.add(row)
        second, first = told(session, "grower", row.id)
    assert (first.why, first.after) == ("a new contract", {"name": "Tallow Creek", "hands": 4})
    assert (second.why, second.after) == ("", {"name": "Tallow Creek East"})


def test_what_is_told_besides_is_told_though_no_column_changes(database: Database) -> None:
    with database.writing() as session:
        by(session)
        row = session.get_one(tables.Grower, season.grower(session))
        tell(row, before={"hands": 3}, hands=4)
        newest = told(session, "grower", row.id)[0]
    assert (newest.deed, newest.before, newest.after) == ("changed", {"hands": 3}, {"hands": 4})


def test_changes_come_newest_first_in_parts(database: Database) -> None:
    with database.writing() as session:
        by(session)
        row = session.get_one(tables.Grower, season.grower(session))
        for hour in (2, 1, 3):
            by(session, at=NOON + timedelta(hours=hour))
            row.contact = f"gate {hour}"
            session.add(row)
            session.flush()
        session.flush()
        of = [("grower", row.id or 0), ("block", 7)]
        contacts = [change.after.get("contact") for change in changes_of(session, of)]
        part = [change.after.get("contact") for change in changes_of(session, of, most=2, skip=1)]
        assert changes_of(session, []) == []
    assert contacts == ["gate 3", "gate 2", "gate 1", None]
    assert part == ["gate 2", "gate 1"]


def test_a_consignment_tells_its_bins_and_its_wet_empties(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        person = by(session)
        docket = intake.add_docket(session, intake.DocketFacts("N101", "", season.RECEIVED))
        weighing = intake.WeighingFacts(5, ids.bin_type, ids.tare, 2_200_000)
        consignment = intake.add_consignment(session, docket.id or 0, of_a_truck(ids, weighing, weighing), person)
        whole = books.consignment_for(session, ids.supervisor, consignment.id or 0)
        wet = intake.TareFacts(date(2026, 1, 15), 10, 412_000, wet=True)
        row = intake.weigh_empties(session, whole, ids.bin_type, wet, NOON, person)
        (received,), (weighed,) = told(session, "consignment", whole.id), told(session, "wet empties", row.id)
    assert (received.after["bins"], received.after["gross_g"]) == (10, 4_400_000)
    assert (weighed.after["empties"], weighed.after["total_g"]) == (10, 412_000)


def test_a_voided_fruit_is_told_once_with_its_reason(database: Database) -> None:
    made = stored_bench(database)
    with database.writing() as session:
        person = by(session)
        sample = bench.bench_sample(session, made.sample)
        entry = samples.FruitEntry(Fruit(4120, 4, (Defect("rub", 100, None),)), None, "k1", person, NOON)
        fruit_id = samples.save_fruit(session, sample, entry).fruit_id
        for _ in range(2):
            samples.void_fruit(session, fruit_id, "undone at the bench", person, NOON)
        (change,) = told(session, "fruit", fruit_id)
    assert (change.deed, change.after, change.why) == ("voided", {"number": 1}, "undone at the bench")


def test_saving_a_fruit_asks_nothing_of_the_history(database: Database) -> None:
    made = stored_bench(database)
    asked: list[str] = []
    sqlalchemy.event.listen(
        database.writer, "before_cursor_execute", lambda *args: asked.append(str(args[2])), named=False
    )
    with database.writing() as session:
        sample = bench.bench_sample(session, made.sample, lock=True)
        entry = samples.FruitEntry(Fruit(4120, 4, ()), None, "k1", made.grader, NOON)
        samples.save_fruit(session, sample, entry)
        session.commit()
    assert asked
    assert [statement for statement in asked if "change" in statement or "setting" in statement] == []


def test_a_file_tells_how_many_fruit_it_brought(database: Database) -> None:
    made = stored_bench(database)
    with database.writing() as session:
        person = by(session)
        new = sample_files.NewFileSample(
            made.consignment, Question.INTAKE, made.tray, frozenset(), person, NOON, "a" * 64
        )
        fruit = [sample_files.FruitOfFile(draw, Fruit(4120), None) for draw in ("1", "1", "2")]
        (change,) = told(session, "sample", sample_files.store_file(session, new, fruit))
        assert changes_in(session, ["fruit"]) == []
    assert (change.after["fruit"], change.after["draws"]) == (3, 2)


def test_a_voided_sample_is_told_with_its_reason(database: Database) -> None:
    made = stored_bench(database)
    with database.writing() as session:
        person = by(session)
        for _ in range(2):
            assert samples.void_sample(session, made.sample, "wrong load", person, NOON)
        (change,) = [each for each in told(session, "sample", made.sample) if each.deed == "changed"]
    assert (change.after["void_reason"], change.by) == ("wrong load", "Ada Thorne")


def test_a_market_tells_its_tray_types_as_one_change(database: Database) -> None:
    with database.writing() as session:
        by(session)
        small, large = season.tray_type(session, 5000), season.tray_type(session, 7000)
        facts = markets.MarketFacts("City", "AUD", season.spec_version(session), [small])
        market = markets.add_market(session, facts)
        swapped = markets.MarketFacts("City", "AUD", facts.spec_version_id, [large, small])
        markets.change_market(session, market, swapped, 1)
        changed, added = told(session, "market", market.id)
        markets.change_market(session, market, swapped, 2)
        assert len(told(session, "market", market.id)) == 2
    assert added.after["tray_type_ids"] == [small]
    assert (changed.before, changed.after) == ({"tray_type_ids": [small]}, {"tray_type_ids": [large, small]})


def price_list(session: Session, market_id: int, tray: int, prices_minor: dict[int, int], day: int) -> Told:
    facts = prices.PriceFacts(
        date(2026, 2, day), "", {(tray, "I", count): minor for count, minor in prices_minor.items()}, {"juice": 40}
    )
    kept = prices.add_prices(session, market_id, facts, date(2026, 2, day))
    return told(session, "price list", kept.id)[0]


def test_a_price_list_tells_what_changed_or_how_many(database: Database) -> None:
    with database.writing() as session:
        by(session)
        tray = season.tray_type(session)
        spec = next(spec for spec in library.standards().values() if "I" in {each.id for each in spec.classes})
        market_id = season.market(session, season.spec_version(session, spec), [tray])
        counts = range(10, 20)
        first = price_list(session, market_id, tray, dict.fromkeys(counts, 2000), 1)
        few = price_list(session, market_id, tray, {**dict.fromkeys(counts[1:], 2000), 11: 2150, 30: 900}, 2)
        many = price_list(session, market_id, tray, dict.fromkeys(counts, 3000), 3)
        same = price_list(session, market_id, tray, dict.fromkeys(counts, 3000), 4)
        mended = price_list(session, market_id, tray, {**dict.fromkeys(counts, 3000), 10: 3100}, 4)
    assert (first.after["prices"], first.after["currency"], "changed" in first.after) == (11, "AUD", False)
    assert (same.after["mends"], mended.after["mends"]) == (False, True)
    assert [row[1:] for row in mended.after["changed"]] == [[3000, 3100]]
    named = {row[0].split(" in ")[0].split()[-1]: row[1:] for row in few.after["changed"]}
    assert named == {"10s": [2000, None], "11s": [2000, 2150], "30s": [None, 900]}
    assert all("7 kg tray" in row[0] for row in few.after["changed"])
    assert (many.after["changed"], same.after["changed"]) == (11, [])


def test_a_tray_type_tells_its_counts_and_a_spec_not_its_text(database: Database) -> None:
    with database.writing() as session:
        by(session)
        tray = trays.add_tray(session, trays.TrayFacts("7 kg", "mango", 7000, (12, 14), None, date(2026, 2, 1)))
        spec = specs.publish(session, library.standards()["mango-agmark"], NOON)
        (of_tray,), (of_spec,) = told(session, "tray type", tray.id), told(session, "spec", spec.id)
    assert of_tray.after["counts"] == [12, 14]
    assert set(of_spec.after) == {"spec_key", "title", "crop_id", "sha256", "published_at"}


def test_a_rule_tells_what_held_before(database: Database) -> None:
    with database.writing() as session:
        person = by(session)
        setter = Setter(person, NOON, NOON.date())
        row = set_rule(session, KEEPING_YEARS, RuleFacts(7, NOON.date(), "a buyer asks"), 1, setter)
        (change,) = told(session, "setting", row.id)
    assert (change.after["held_before"], change.after["value"], change.after["source"]) == ("6", "7", "a buyer asks")


def test_of_two_servers_that_loaded_a_row_the_later_is_stale(postgres_template: PostgresTemplate) -> None:
    with postgres_template.copy() as database:
        with database.writing() as session:
            grower_id = season.grower(session)
            session.commit()
        with database.writing() as first, database.writing() as second:
            one, other = (session.get_one(tables.Grower, grower_id) for session in (first, second))
            change_of(one, 1)
            one.contact = "gate 1"
            first.commit()
            with pytest.raises(StaleError):
                change_of(other, 1)
            assert (other.contact, other.version) == ("gate 1", 2)
