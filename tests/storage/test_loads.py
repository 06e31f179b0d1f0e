"""What the fruit of a load share, put together from consignment, block and maturity tests."""

from datetime import UTC, date, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

from sqlmodel import Session, col, update

from shedgrade.actions.maturity import MaturityFacts, add_test
from shedgrade.actions.voiding import void
from shedgrade.domain.grading.facts import MaturityFigure
from shedgrade.domain.maturity import mean_of
from shedgrade.storage.database import Database
from shedgrade.storage.loads import STAGE, load_of
from shedgrade.storage.maturity import row_of
from shedgrade.storage.tables import Block, Consignment
from tests.support.bench import Bench, bench

NOW = datetime(2026, 1, 14, 5, tzinfo=UTC)
FIRST, SECOND = date(2026, 1, 13), date(2026, 1, 14)


def put(session: Session, made: Bench, day: date, fruit: int, **readings: tuple[int, ...]) -> int:
    named = {name.replace("_", "-"): figures for name, figures in readings.items()}
    return (
        add_test(session, made.consignment, MaturityFacts(day, fruit, cut=True, readings=named), made.grader, NOW).id
        or 0
    )


def ranged(measure: str, mean: Fraction, *readings: Fraction) -> MaturityFigure:
    """A figure of the first day with the range that its readings give."""
    spread = mean_of(readings)
    return MaturityFigure(measure, mean, len(readings), FIRST, spread.low, spread.high)


def test_what_was_said_of_block_and_market(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        load = load_of(session, made.consignment)
        assert (load.variety, load.day, load.stage) == ("Calypso", date(2026, 1, 14), STAGE)
        assert (load.destination, load.grown_in, load.presentation, load.tests) == (None, None, None, ())
        session.execute(update(Block).values(grown_in="hot and humid"))
        session.execute(update(Consignment).where(col(Consignment.id) == made.consignment).values(destination="sea"))
        load = load_of(session, made.consignment)
        assert (load.grown_in, load.destination) == ("hot and humid", "sea")


def test_the_day_is_the_sheds(database: Database) -> None:
    """03:20 in UTC is still the day before in Bogotá."""
    made = bench(database)
    in_bogota = Database(database.url, ZoneInfo("America/Bogota"))
    with in_bogota.reading() as session:
        assert load_of(session, made.consignment).day == date(2026, 1, 13)
    in_bogota.close()


def test_of_each_measure_the_newest_test_that_stands_counts(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        put(session, made, FIRST, 3, dry_matter=(1500, 1520, 1600), brix=(1400, 1500, 1300))
        newer = put(session, made, SECOND, 10, dry_matter=(1610,))
        brix = ranged("brix", Fraction(1400), Fraction(1300), Fraction(1400), Fraction(1500))
        assert load_of(session, made.consignment).tests == (
            brix,
            MaturityFigure("dry-matter", Fraction(161, 1000), 10, SECOND),
        )
        assert void(session, row_of(session, made.consignment, newer), "other fruit", made.grader, NOW)
        readings = [Fraction(each, 10_000) for each in (1500, 1520, 1600)]
        older = ranged("dry-matter", Fraction(4620, 3 * 10_000), *readings)
        assert load_of(session, made.consignment).tests == (brix, older)


def test_a_test_is_voided_once_and_keeps_its_first_reason(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        row = row_of(session, made.consignment, put(session, made, FIRST, 1, brix=(1400,)))
        assert void(session, row, "other fruit", made.grader, NOW)
        assert void(session, row, "other fruit", made.grader, NOW)
        assert not void(session, row, "another reason", made.grader, NOW)
        assert (row.void_reason, row.version) == ("other fruit", 2)
