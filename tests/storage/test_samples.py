"""Samples and drawn fruit as reports read them, each grower's own only."""

import pytest

from shedgrade.actions.samples import void_sample
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.people import Doer, Person, Role
from shedgrade.storage import quotes
from shedgrade.storage.bench import (
    OpenDraw,
    bench_sample,
    bins_of_sample,
    draw_of,
    fruit_after,
    fruit_of_key,
    fruit_with,
)
from shedgrade.storage.database import Database
from shedgrade.storage.draws import samples_of_all
from shedgrade.storage.intake import fruit_counts
from shedgrade.storage.missing import MissingError
from shedgrade.storage.samples import (
    VoidedLook,
    drawn_fruit,
    looked_for,
    looked_for_text,
    sample_for,
    samples_of,
    voided_looks,
)
from shedgrade.storage.voided import Voided
from tests.support import season
from tests.support.bench import bench
from tests.support.season import Mark

GRADER = Person(1, "Bench two", frozenset({Role.GRADER}))


@pytest.mark.parametrize("kinds", [None, frozenset(), frozenset({"rub"}), frozenset({"rub", "sap-stain"})])
def test_what_was_looked_for_comes_back(kinds: frozenset[str] | None) -> None:
    assert looked_for(looked_for_text(kinds)) == kinds


def test_drawn_fruit_leaves_out_voided_ones_and_other_questions(database: Database) -> None:
    made = bench(database)
    other = bench(database, number="1043")
    with database.writing() as session:
        draw = season.draw(session, made.sample)
        kept = season.fruit(session, draw, 4120, Mark("rub", 150), Mark("rot"), stage=3)
        season.void(session, season.fruit(session, draw, 5000, Mark("rot")))
        belt = season.sample(session, made.consignment, question="reject belt", looked_for="rub")
        season.fruit(session, season.draw(session, belt), 3000)
        season.fruit(session, season.draw(session, other.sample), 3500)
        (only,) = drawn_fruit(session, consignment_ids=[made.consignment])
        assert (only.fruit_id, only.draw_id, only.number, only.consignment_id) == (kept, draw, 1, made.consignment)
        assert only.fruit == Fruit(4120, 3, (Defect("rub", area_mm2=150), Defect("rot")))
        both = drawn_fruit(session, consignment_ids=[made.consignment, other.consignment])
        assert [each.fruit.weight_dg for each in both] == [4120, 3500]
        (rejected,) = drawn_fruit(session, consignment_ids=[made.consignment], question="reject belt")
        assert rejected.fruit.looked_for == frozenset({"rub"})
        assert drawn_fruit(session, consignment_ids=[]) == []


def test_a_voided_sample_feeds_nothing_and_stays_to_be_seen(database: Database) -> None:
    made = bench(database)
    ids = [made.consignment]
    with database.writing() as session:
        season.fruit(session, season.draw(session, made.sample), 4120)
        assert fruit_counts(session, ids) == {made.consignment: 1}
        assert quotes.looked_at(session, ids) == {made.consignment: (1, 1)}
        assert void_sample(session, made.sample, "wrong load", made.grader, season.RECEIVED)
        assert drawn_fruit(session, consignment_ids=ids) == []
        assert (fruit_counts(session, ids), quotes.looked_at(session, ids), samples_of_all(session, ids)) == (
            {},
            {},
            [],
        )
        (line,) = samples_of(session, made.consignment)
        assert (line.fruit, line.voided, line.voided_by, line.sample.void_reason) == (
            1,
            True,
            Doer("Bench two"),
            "wrong load",
        )
        void = Voided(Doer("Bench two"), season.RECEIVED, "wrong load")
        assert bench_sample(session, made.sample).sample_voided == void
        assert voided_looks(session, ids) == {made.consignment: (VoidedLook(made.sample, 1, void),)}
        assert not void_sample(session, made.sample, "wrong tray", made.grader, season.RECEIVED)


def test_samples_of_a_consignment_count_what_stands(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        first, second = season.draw(session, made.sample), season.draw(session, made.sample)
        season.fruit(session, first, 4120)
        season.fruit(session, first, 4130)
        season.void(session, season.fruit(session, second, 4140))
        season.sample(session, made.consignment, question="table")
        lines = samples_of(session, made.consignment)
        assert [(line.question.value, line.fruit, line.draws) for line in lines] == [("intake", 2, 1), ("table", 0, 0)]
        assert lines[0].words == "2 fruit from 1 bin"
        assert [bool(line.tray_name) for line in lines] == [True, False]


def test_a_sample_is_seen_by_the_shed_and_its_own_grower(database: Database) -> None:
    made, other = bench(database), bench(database, number="1043")
    with database.reading() as session:
        grower = Person(2, "Tallow", frozenset({Role.GROWER}), made.grower)
        assert sample_for(session, GRADER, made.sample).consignment_name == "1042-1"
        assert sample_for(session, grower, made.sample).grower.id == made.grower
        for person, sample in ((grower, other.sample), (GRADER, 999), (Person(3, "Nobody", frozenset()), made.sample)):
            with pytest.raises(MissingError):
                sample_for(session, person, sample)


def test_the_bench_knows_where_it_stands(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        fresh = bench_sample(session, made.sample, lock=True)
        assert (fresh.fruit, fresh.voided, fresh.draw, fresh.sample_voided) == (0, 0, None, None)
        assert (fresh.block_name, fresh.grower_name) == ("Ridge 3", "Tallow Creek 1042")
        bin_id = season.bins_of(session, made.consignment)[0]
        draw = season.draw(session, made.sample, bin_id)
        season.void(session, season.fruit(session, draw, 4120))
        season.fruit(session, draw, 4130)
        now = bench_sample(session, made.sample)
        assert (now.fruit, now.voided, now.draw) == (2, 1, OpenDraw(draw, "draw 1", bin_id, 1))
        bins = bins_of_sample(session, made.sample)
        assert [(each.number, each.draw_id, each.fruit) for each in bins] == [(1, draw, 2), (2, None, 0), (3, None, 0)]
        assert (draw_of(session, made.sample, draw), draw_of(session, made.sample, 999)) == (now.draw, None)
        assert [each.number for each in fruit_after(session, made.sample, 1, 5)] == [2]
        with pytest.raises(MissingError):
            bench_sample(session, 999)
        with pytest.raises(MissingError):
            fruit_with(session, 999)
        assert fruit_of_key(session, "nobody's") is None
