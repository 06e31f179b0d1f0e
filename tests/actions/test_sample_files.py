"""A file's fruit stored as one sample."""

import pytest
from sqlmodel import select

from shedgrade.actions.sample_files import FruitOfFile, NewFileSample, ReadBeforeError, store_file
from shedgrade.actions.samples import void_sample
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.sampling.question import Question
from shedgrade.storage.database import Database
from shedgrade.storage.samples import drawn_fruit, looked_for
from shedgrade.storage.tables import Draw, Sample
from tests.support import season
from tests.support.bench import Bench, bench


def new(
    made: Bench, question: Question = Question.INTAKE, kinds: frozenset[str] = frozenset(), sha256: str = "a" * 64
) -> NewFileSample:
    return NewFileSample(made.consignment, question, made.tray, kinds, made.grader, season.RECEIVED, sha256)


def test_a_file_is_read_once_unless_its_sample_was_voided(database: Database) -> None:
    made, other = bench(database), bench(database, number="1043")
    fruit = [FruitOfFile("1", Fruit(4120), None)]
    with database.writing() as session:
        first = store_file(session, new(made), fruit)
        with pytest.raises(ReadBeforeError) as before:
            store_file(session, new(made, Question.TABLE), fruit)
        assert before.value.sample_id == first
        assert store_file(session, new(other), fruit) != first
        assert store_file(session, new(made, sha256="b" * 64), fruit) != first
        void_sample(session, first, "wrong tray", made.grader, season.RECEIVED)
        assert store_file(session, new(made), fruit) != first


def test_fruit_draws_and_what_was_looked_for_are_kept(database: Database) -> None:
    made, kinds = bench(database), frozenset({"rub", "rot"})
    fruit = [
        FruitOfFile("2", Fruit(4120, 3, (Defect("rub", area_mm2=150),), kinds), "C"),
        FruitOfFile("north", Fruit(3800, None, (Defect("rot"), Defect("rub", share_bp=40)), kinds), None),
        FruitOfFile("2", Fruit(3900, None, (), kinds), None),
    ]
    with database.writing() as session:
        sample_id = store_file(session, new(made, kinds=kinds), fruit)
        session.commit()
    with database.reading() as session:
        sample = session.get_one(Sample, sample_id)
        assert (sample.origin, sample.question, looked_for(sample.looked_for)) == ("file", "intake", kinds)
        draws = session.exec(select(Draw).where(Draw.sample_id == sample_id).order_by("number")).all()
        second_bin = season.bins_of(session, made.consignment)[1]
        assert [(draw.label, draw.bin_id) for draw in draws] == [("bin 2", second_bin), ("north", None)]
        stored = [
            each for each in drawn_fruit(session, consignment_ids=[made.consignment]) if each.sample_id == sample_id
        ]
        assert [each.fruit for each in stored] == [each.fruit for each in fruit]
        assert [each.draw_id for each in stored] == [draws[0].id, draws[1].id, draws[0].id]
        assert stored[0].size_code == "C"


def test_a_file_of_weights_alone_looked_for_nothing(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        store_file(session, new(made), [FruitOfFile("", Fruit(4120, looked_for=frozenset()), None)])
        (stored,) = drawn_fruit(session, consignment_ids=[made.consignment])
        assert stored.fruit.looked_for == frozenset()
        assert session.exec(select(Draw.label)).all() == ["bin 1"]


def test_more_than_one_batch_keeps_each_defect_with_its_fruit(database: Database) -> None:
    made = bench(database)
    fruit = [FruitOfFile("", Fruit(3000 + n, None, (Defect("rub", area_mm2=n + 1),)), None) for n in range(5_100)]
    with database.writing() as session:
        store_file(session, new(made), fruit)
        stored = drawn_fruit(session, consignment_ids=[made.consignment])
        assert [(each.fruit.weight_dg, each.fruit.defects[0].area_mm2) for each in stored] == [
            (3000 + n, n + 1) for n in range(5_100)
        ]
