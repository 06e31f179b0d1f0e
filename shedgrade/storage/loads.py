"""What the fruit of a consignment share, as the grader takes it: variety, day, where it goes, its maturity."""

from collections.abc import Collection
from datetime import date, datetime
from fractions import Fraction

import sqlalchemy
from sqlmodel import Session, col

from shedgrade.domain.grading.facts import Load, MaturityFigure
from shedgrade.domain.spec import library
from shedgrade.storage.database import day_in_shed
from shedgrade.storage.tables import Block, Consignment, MaturityReading, MaturityTest

STAGE = "packing"
"""The stage of marketing that a shed judges at; a spec's rows may speak of others."""


def load_of(session: Session, consignment_id: int) -> Load:
    """What the fruit of one consignment share. The consignment's own loader says who may see it."""
    return loads_of(session, [consignment_id])[consignment_id]


def loads_of(session: Session, consignment_ids: Collection[int]) -> dict[int, Load]:
    """By consignment, what its fruit share. Two queries, however many there are."""
    tests = _newest_figures(session, consignment_ids)
    query = (
        sqlalchemy.select(
            col(Consignment.id),
            col(Consignment.received_at),
            col(Consignment.destination),
            col(Consignment.presentation),
            col(Block.variety),
            col(Block.grown_in),
            col(Block.crop_id),
        )
        .join(Block, col(Block.id) == Consignment.block_id)
        .where(col(Consignment.id).in_(consignment_ids))
    )
    return {row[0]: _load(session, row[1:], tests.get(row[0], {})) for row in session.execute(query)}


def _load(
    session: Session, row: tuple[datetime, str, str, str, str, str], figures: dict[str, tuple[Fraction, int, date]]
) -> Load:
    received_at, destination, presentation, variety, grown_in, crop_id = row
    crop = library.crops().get(crop_id)
    known = {} if crop is None else {measure.id: measure for measure in crop.measures}
    return Load(
        variety=variety or None,
        day=day_in_shed(session, received_at),
        stage=STAGE,
        destination=destination or None,
        grown_in=grown_in or None,
        presentation=presentation or None,
        tests=tuple(
            MaturityFigure(name, mean / known[name].per_base, fruit, day)
            for name, (mean, fruit, day) in sorted(figures.items())
            if name in known
        ),
    )


def _newest_figures(
    session: Session, consignment_ids: Collection[int]
) -> dict[int, dict[str, tuple[Fraction, int, date]]]:
    """By consignment and measure, the mean in stored units, of how many fruit and when: of the newest test that stands.
    A later test is made because the fruit have changed, so the two are not put together."""
    query = (
        sqlalchemy.select(
            col(MaturityTest.consignment_id),
            col(MaturityTest.id),
            col(MaturityTest.taken_on),
            col(MaturityTest.fruit),
            col(MaturityReading.measure),
            col(MaturityReading.place),
            col(MaturityReading.value),
        )
        .join(MaturityReading, col(MaturityReading.test_id) == MaturityTest.id)
        .where(col(MaturityTest.consignment_id).in_(consignment_ids), col(MaturityTest.voided_at).is_(None))
        .order_by(col(MaturityTest.taken_on), col(MaturityTest.id), col(MaturityReading.place))
    )
    read: dict[tuple[int, str], tuple[int, date, int, list[tuple[int, int]]]] = {}
    for consignment_id, test_id, day, fruit, measure, place, value in session.execute(query):
        key = (consignment_id, measure)
        if key not in read or read[key][0] != test_id:
            read[key] = (test_id, day, fruit, [])
        read[key][3].append((place, value))
    found: dict[int, dict[str, tuple[Fraction, int, date]]] = {}
    for (consignment_id, measure), (_, day, fruit, readings) in read.items():
        mean = Fraction(sum(value for _, value in readings), len(readings))
        counted = fruit if readings[0][0] == 0 else len(readings)
        found.setdefault(consignment_id, {})[measure] = (mean, counted, day)
    return found
