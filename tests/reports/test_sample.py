"""The tally of a sample, and its fruit judged."""

from shedgrade.reports.sample import consignment_samples, graded_rows, keep_tally, rules_of, tally_of
from shedgrade.storage.bench import bench_sample, last_fruit
from shedgrade.storage.database import Database
from shedgrade.storage.intake import consignment_for
from tests.storage.test_samples import GRADER
from tests.support import season
from tests.support.bench import bench
from tests.support.season import Mark


def test_the_tally_follows_every_entry_and_voiding(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        rules = rules_of(session, bench_sample(session, made.sample))
        assert tally_of(session, bench_sample(session, made.sample), rules).fruit == 0
        draw, other = season.draw(session, made.sample), season.draw(session, made.sample)
        season.fruit(session, draw, 4120)
        season.fruit(session, draw, 4120, Mark("rot"))
        wrong = season.fruit(session, other, 4120, Mark("sap-stain", 460))
        tally = tally_of(session, bench_sample(session, made.sample), rules)
        assert (tally.fruit, tally.draws) == (3, 2)
        assert dict(tally.by_class) == {"Extra": 1, None: 1, "II": 1}
        season.void(session, wrong)
        tally = tally_of(session, bench_sample(session, made.sample), rules)
        assert (tally.fruit, tally.draws, dict(tally.by_class)) == (2, 1, {"Extra": 1, None: 1})


def test_a_kept_tally_with_one_more_is_what_counting_finds(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        sample = bench_sample(session, made.sample)
        rules = rules_of(session, sample)
        before = tally_of(session, sample, rules)
        draw = season.draw(session, made.sample)
        season.fruit(session, draw, 4120)
        plus = before.plus("Extra", draw)
        assert plus == tally_of(session, bench_sample(session, made.sample), rules)
        # A tally kept for another state of the sample is not used.
        keep_tally(session, sample, plus.plus("II", draw))
        assert tally_of(session, bench_sample(session, made.sample), rules) == plus


def test_a_fruit_is_judged_as_the_size_its_label_says(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        rules = rules_of(session, bench_sample(session, made.sample))
        season.fruit(session, season.draw(session, made.sample), 4120)
        (row,) = graded_rows(rules, last_fruit(session, made.sample, 1))
        assert row.verdict.codes == (row.verdict.judged_as,)
        assert row.verdict.count is not None


def test_a_consignment_offers_its_markets_trays_in_order(database: Database) -> None:
    made = bench(database)
    with database.reading() as session:
        shown = consignment_samples(session, consignment_for(session, GRADER, made.consignment), may_grade=True)
        assert [tray for tray, _ in shown.trays] == [made.tray, made.small_tray]
        assert [line.sample.id for line in shown.lines] == [made.sample]
