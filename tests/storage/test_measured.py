"""What was measured at the bench as the history tells it, and what rows were called when."""

from datetime import UTC, datetime, timedelta

from shedgrade.storage import tables
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.measured import measured
from shedgrade.storage.names import names_of, samples_called
from tests.support import season
from tests.support.bench import bench

NOON = datetime(2026, 1, 14, 12, tzinfo=UTC)


def test_a_run_is_who_measured_on_a_day(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        draw = season.draw(session, made.sample)
        fruit = [season.fruit(session, draw, 4120) for _ in range(3)]
        (run,) = measured(session, [made.sample], datetime.date)
        assert (run.noun, run.row_id, run.deed, run.by) == ("fruit", fruit[-1], "measured", "Bench two")
        assert run.after == {"first": 1, "last": 3, "count": 3}
        assert measured(session, [made.sample + 1], datetime.date) == []
        assert measured(session, [], datetime.date) == []


def test_what_a_file_brought_is_told_with_the_file(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        season.fruit(session, season.draw(session, made.sample), 4120)
        sample = session.get_one(tables.Sample, made.sample)
        sample.origin, sample.file_sha256 = "file", "0" * 64
        session.add(sample)
        session.flush()
        assert measured(session, [made.sample], datetime.date) == []


def test_a_sample_is_found_by_itself_and_by_its_fruit(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        fruit_id = season.fruit(session, season.draw(session, made.sample), 4120)
        found = samples_called(session, [("sample", made.sample), ("fruit", fruit_id), ("grower", 1), ("fruit", 9999)])
        assert set(found) == {("sample", made.sample), ("fruit", fruit_id)}
        assert {(each.id, each.question) for each in found.values()} == {(made.sample, "intake")}
        assert samples_called(session, []) == {}


def test_a_row_is_called_as_it_was_then(database: Database) -> None:
    with database.writing() as session:
        row = tables.Docket(number="1042", received_at=NOON)
        act_as(session, Actor(None, "", NOON))
        session.add(row)
        session.flush()
        for hours, number in ((1, "1043"), (2, "1044")):
            act_as(session, Actor(None, "", NOON + timedelta(hours=hours)))
            row.number = number
            session.add(row)
            session.flush()
        docket = ("docket", row.id or 0)
        names = names_of(session, [docket, ("spec_version", 9999)])
        said = [names.then(NOON + timedelta(minutes=60 * hours))[docket] for hours in (0, 1, 2)]
        assert said == ["1042 (now 1044)", "1043 (now 1044)", "1044"]
        assert names_of(session, []).then(NOON) == {}
