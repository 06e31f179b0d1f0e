"""The fruit of a stored sample as columns."""

from collections import Counter

import sqlalchemy
from sqlmodel import col

from shedgrade.domain.grading.facts import Fruit
from shedgrade.storage import tables
from shedgrade.storage.database import Database
from shedgrade.storage.many_fruit import sample_columns
from shedgrade.storage.samples import drawn_fruit
from tests.support import season
from tests.support.bench import bench
from tests.support.season import Mark


def plain(fruit: Fruit) -> tuple[object, ...]:
    """A fruit without the order of its marks."""
    return fruit.weight_dg, fruit.stage, Counter(fruit.defects), fruit.looked_for, fruit.measures


def test_columns_hold_what_the_rows_hold(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        draw, other = season.draw(session, made.sample), season.draw(session, made.sample)
        season.fruit(session, draw, 4120, stage=3)
        marks = Mark("rub", 46, states="into-flesh progressive"), Mark("rub", 12), Mark("rot")
        season.fruit(session, other, 3010, *marks)
        season.void(session, season.fruit(session, draw, 9999, Mark("sunburn", 700)))
        labelled = season.fruit(session, draw, 2500, Mark("sunburn", 300, states=""))
        named = sqlalchemy.update(tables.FruitRow).where(col(tables.FruitRow.id) == labelled).values(size_code="B")
        session.connection().execute(named)
        session.add(tables.FruitMeasure(fruit_id=labelled, measure="length", value=105))
        session.flush()
        found = sample_columns(session, made.sample, None)
        drawn = drawn_fruit(session, consignment_ids=[made.consignment])
        assert [plain(found.columns.fruit(place)) for place in range(3)] == [plain(each.fruit) for each in drawn]
        assert [found.columns.code(place) for place in range(3)] == [None, None, "B"]
        assert (found.rows, Counter(found.draw_ids)) == (4, {draw: 2, other: 1})


def test_a_sample_without_fruit_and_what_was_looked_for(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        found = sample_columns(session, made.sample, frozenset({"rot"}))
        assert (len(found.columns), found.rows, found.columns.looked_for) == (0, 0, (frozenset({"rot"}),))
