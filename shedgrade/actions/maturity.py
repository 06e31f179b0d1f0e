"""Writing down maturity tests, and voiding wrong ones."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlmodel import Session

from shedgrade.storage.history import tell
from shedgrade.storage.tables import MaturityReading, MaturityTest


@dataclass(frozen=True, slots=True)
class MaturityFacts:
    """A test: the day, how many fruit, whether they were cut, and by measure what was read, in stored whole numbers:
    one figure a fruit, or the one mean of all of them."""

    taken_on: date
    fruit: int
    cut: bool
    readings: Mapping[str, tuple[int, ...]]


def add_test(
    session: Session, consignment_id: int, facts: MaturityFacts, person_id: int, now: datetime
) -> MaturityTest:
    """Write a test down. A single figure of a test of several fruit is their mean."""
    test = MaturityTest(
        consignment_id=consignment_id,
        taken_on=facts.taken_on,
        fruit=facts.fruit,
        cut=facts.cut,
        tested_at=now,
        tested_by_id=person_id,
    )
    tell(test, readings={measure: list(figures) for measure, figures in facts.readings.items()})
    session.add(test)
    session.flush()
    for measure, figures in facts.readings.items():
        is_mean = len(figures) == 1 and facts.fruit > 1
        for place, value in enumerate(figures, 0 if is_mean else 1):
            session.add(MaturityReading(test_id=test.id or 0, measure=measure, place=place, value=value))
    session.flush()
    return test
