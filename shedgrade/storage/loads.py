"""What the fruit of a consignment share, as the grader takes it: variety, day, where it goes, its maturity."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy
from sqlmodel import Session, col

from shedgrade.domain.crop import CropMeasure
from shedgrade.domain.grading.facts import Load, MaturityFigure
from shedgrade.domain.maturity import mean_of
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


@dataclass(slots=True)
class _Readings:
    """What one test says of one measure, in stored units: a figure a fruit, or the mean that was typed."""

    test_id: int
    day: date
    fruit: int
    is_mean: bool
    values: list[int]

    def of(self, measure: CropMeasure) -> MaturityFigure:
        figures = [measure.base(value) for value in self.values]
        if self.is_mean:
            return MaturityFigure(measure.id, figures[0], self.fruit, self.day)
        mean = mean_of(figures)
        return MaturityFigure(measure.id, mean.value, mean.fruit, self.day, mean.low, mean.high)


def _load(session: Session, row: tuple[datetime, str, str, str, str, str], figures: dict[str, _Readings]) -> Load:
    received_at, destination, presentation, variety, grown_in, crop_id = row
    crop = library.crops().get(crop_id)
    known = () if crop is None else crop.measures
    return Load(
        variety=variety or None,
        day=day_in_shed(session, received_at),
        stage=STAGE,
        destination=destination or None,
        grown_in=grown_in or None,
        presentation=presentation or None,
        tests=tuple(figures[each.id].of(each) for each in sorted(known, key=lambda one: one.id) if each.id in figures),
    )


def _newest_figures(session: Session, consignment_ids: Collection[int]) -> dict[int, dict[str, _Readings]]:
    """By consignment and measure, what was read in the newest test that stands. A later test is made because the fruit
    have changed, so the two are not put together."""
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
    found: dict[int, dict[str, _Readings]] = {}
    for consignment_id, test_id, day, fruit, measure, place, value in session.execute(query):
        of_load = found.setdefault(consignment_id, {})
        if measure not in of_load or of_load[measure].test_id != test_id:
            of_load[measure] = _Readings(test_id, day, fruit, is_mean=place == 0, values=[])
        of_load[measure].values.append(value)
    return found
