"""Which defects a block has had lately, as the bench of a sample asks it."""

from datetime import timedelta

import sqlalchemy
from sqlmodel import Session, col

from shedgrade.storage import tables
from shedgrade.storage.database import Database
from shedgrade.storage.seen_before import RECENT_SAMPLES, kinds_seen_before
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.season import RECEIVED, Mark


def begun(session: Session, sample_id: int, days: int) -> int:
    """Move a sample to so many days after the first."""
    at = RECEIVED + timedelta(days=days)
    statement = sqlalchemy.update(tables.Sample).where(col(tables.Sample.id) == sample_id).values(started_at=at)
    session.connection().execute(statement)
    return sample_id


def marked(session: Session, sample_id: int, *fruit: tuple[str, ...]) -> list[int]:
    """Fruit of a sample, each with these kinds; their ids."""
    draw = season.draw(session, sample_id)
    return [season.fruit(session, draw, 4120, *(Mark(kind, 100) for kind in kinds)) for kinds in fruit]


def later(session: Session, made: Bench, days: int) -> int:
    return begun(session, season.sample(session, made.consignment), days)


def test_the_kind_on_most_fruit_comes_first_however_often_it_is_on_one(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        marked(session, made.sample, ("sunburn",), ("sunburn",), ("rub", "rub", "rub"), ())
        assert kinds_seen_before(session, later(session, made, 1)) == ["sunburn", "rub"]


def test_nothing_that_happens_while_the_sample_is_open_changes_the_order(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        first, _, _ = marked(session, made.sample, ("rub",), ("rub",), ("sunburn",))
        now = later(session, made, 1)
        before = kinds_seen_before(session, now)
        assert before == ["rub", "sunburn"]
        marked(session, now, ("blotch",), ("blotch",), ("blotch",))
        marked(session, later(session, made, 2), ("sunburn",), ("sunburn",))
        row = session.get_one(tables.FruitRow, first)
        row.voided_at, row.voided_by_id, row.void_reason = RECEIVED + timedelta(days=2), row.measured_by_id, "slip"
        late = marked(session, made.sample, ("sunburn",), ("sunburn",))
        statement = sqlalchemy.update(tables.FruitRow).where(col(tables.FruitRow.id).in_(late))
        session.connection().execute(statement.values(measured_at=RECEIVED + timedelta(days=3)))
        session.flush()
        assert kinds_seen_before(session, now) == before
        assert kinds_seen_before(session, later(session, made, 4)) == ["sunburn", "blotch", "rub"]


def test_only_what_stands_of_this_block_and_lately(database: Database) -> None:
    made, other = bench(database), bench(database, number="1043")
    with database.writing() as session:
        marked(session, other.sample, ("blotch",), ("blotch",))
        season.void(session, marked(session, made.sample, ("hail-mark",))[0])
        marked(session, made.sample, ("sunburn",))
        for days in range(1, RECENT_SAMPLES + 1):
            marked(session, later(session, made, days), ("rub",))
        assert kinds_seen_before(session, later(session, made, RECENT_SAMPLES + 1)) == ["rub"]
        assert kinds_seen_before(session, made.sample) == []
