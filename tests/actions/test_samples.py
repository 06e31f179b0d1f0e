"""Samples, draws and fruit: what is stored, and what a second sending finds."""

from dataclasses import replace

import pytest
from sqlmodel import Session, select

from shedgrade.actions import samples as actions
from shedgrade.actions.draws import next_draw
from shedgrade.actions.samples import UNDONE, EntryKeyTakenError, FruitEntry, VoidedAlreadyError
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.people import Doer
from shedgrade.storage.bench import bench_sample, fruit_with, last_fruit
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Draw, FruitDefect, FruitRow
from tests.support import season
from tests.support.bench import Bench, bench

FRUIT = Fruit(4120, 3, (Defect("sap-stain", area_mm2=250), Defect("rot")))


def entry(made: Bench, key: str = "one", fruit: Fruit = FRUIT) -> FruitEntry:
    return FruitEntry(fruit, None, key, made.grader, season.RECEIVED)


def save(session: Session, made: Bench, given: FruitEntry) -> actions.Stored:
    return actions.save_fruit(session, bench_sample(session, made.sample, lock=True), given)


def test_the_first_fruit_opens_the_first_bin(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        stored = save(session, made, entry(made))
        session.commit()
    with database.reading() as session:
        draw = session.get_one(Draw, stored.draw.id)
        assert (draw.number, draw.label, draw.bin_id) == (1, "bin 1", season.bins_of(session, made.consignment)[0])
        (fruit,) = last_fruit(session, made.sample, 5)
        assert (fruit.number, fruit.fruit, fruit.draw_name, fruit.measured_by) == (1, FRUIT, "bin 1", Doer("Bench two"))


def test_fruit_go_into_the_draw_they_name_or_the_one_opened_last(database: Database) -> None:
    made = bench(database)
    other = bench(database, number="1043")
    with database.writing() as session:
        first = save(session, made, entry(made, "one")).draw
        second = next_draw(session, bench_sample(session, made.sample))
        foreign = save(session, other, entry(other, "other")).draw
        assert save(session, made, entry(made, "two")).draw == second
        assert save(session, made, replace(entry(made, "three"), draw_id=first.id)).draw == first
        assert save(session, made, replace(entry(made, "four"), draw_id=foreign.id)).draw == second


def test_the_same_form_sent_twice_is_stored_once(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        first = save(session, made, entry(made))
        second = save(session, made, entry(made))
        assert (first.is_new, second.is_new, second.fruit_id) == (True, False, first.fruit_id)
        assert len(session.exec(select(FruitRow)).all()) == 1
        assert len(session.exec(select(FruitDefect)).all()) == 2


@pytest.mark.parametrize("fruit", [Fruit(4130, 3, FRUIT.defects), Fruit(4120, 4, FRUIT.defects), Fruit(4120, 3)])
def test_the_same_form_with_another_fruit_is_refused(database: Database, fruit: Fruit) -> None:
    made = bench(database)
    with database.writing() as session:
        save(session, made, entry(made))
        with pytest.raises(EntryKeyTakenError) as taken:
            save(session, made, entry(made, fruit=fruit))
        assert taken.value.stored.fruit == FRUIT


def test_the_same_form_for_another_sample_is_refused(database: Database) -> None:
    made, other = bench(database), bench(database, number="1043")
    with database.writing() as session:
        save(session, made, entry(made))
        with pytest.raises(EntryKeyTakenError):
            save(session, other, entry(other))


def test_a_voided_fruit_stays_with_who_when_and_why(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        fruit_id = save(session, made, entry(made)).fruit_id
        actions.void_fruit(session, fruit_id, UNDONE, made.grader, season.RECEIVED)
        actions.void_fruit(session, fruit_id, UNDONE, made.grader, season.RECEIVED)
        voided = fruit_with(session, fruit_id).voided
        assert voided is not None
        assert (voided.by, voided.at, voided.reason) == (Doer("Bench two"), season.RECEIVED, UNDONE)
        with pytest.raises(VoidedAlreadyError):
            actions.void_fruit(session, fruit_id, "wrong scale", made.grader, season.RECEIVED)
        sample = bench_sample(session, made.sample)
        assert (sample.fruit, sample.voided) == (1, 1)
