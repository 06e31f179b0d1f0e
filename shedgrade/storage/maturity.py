"""The maturity tests of a consignment."""

from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from shedgrade.domain.crop import Crop, CropMeasure
from shedgrade.domain.maturity import Mean, mean_of
from shedgrade.domain.people import Doer
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import MaturityReading, MaturityTest, PersonRow
from shedgrade.storage.voided import Voided, voided_of


@dataclass(frozen=True, slots=True)
class MaturityWhole:
    """A test as it was written down: by whom, the mean of each measure with the figures it came from (none where only
    the mean was written), and who voided it."""

    row: MaturityTest
    tested_by: Doer
    means: tuple[tuple[CropMeasure, Mean, tuple[Fraction, ...]], ...]
    voided: Voided | None


def tests_of(session: Session, consignment_id: int, crop: Crop) -> list[MaturityWhole]:
    """Every test of a consignment, the newest first, voided ones too. The consignment's own loader says who may see."""
    voider = aliased(PersonRow)
    query = (
        select(MaturityTest, PersonRow, voider)
        .join(PersonRow, col(PersonRow.id) == MaturityTest.tested_by_id)
        .join(voider, col(voider.id) == MaturityTest.voided_by_id, isouter=True)
        .where(MaturityTest.consignment_id == consignment_id)
        .order_by(col(MaturityTest.taken_on).desc(), col(MaturityTest.id).desc())
    )
    rows = session.exec(query).all()
    readings = _readings(session, [row.id or 0 for row, _, _ in rows])
    return [
        MaturityWhole(
            row,
            Doer(by.name, by.grower_id),
            tuple(_means(row, readings.get(row.id or 0, []), crop)),
            voided_of(row, voided_by),
        )
        for row, by, voided_by in rows
    ]


def row_of(session: Session, consignment_id: int, test_id: int) -> MaturityTest:
    """One test of a consignment; MissingError if it has none of that id."""
    row = session.get(MaturityTest, test_id)
    if row is None or row.consignment_id != consignment_id:
        raise MissingError
    return row


def _readings(session: Session, test_ids: list[int]) -> dict[int, list[MaturityReading]]:
    order = (col(MaturityReading.measure), col(MaturityReading.place))
    found: dict[int, list[MaturityReading]] = {}
    for row in session.exec(select(MaturityReading).where(col(MaturityReading.test_id).in_(test_ids)).order_by(*order)):
        found.setdefault(row.test_id, []).append(row)
    return found


def _means(
    test: MaturityTest, readings: list[MaturityReading], crop: Crop
) -> list[tuple[CropMeasure, Mean, tuple[Fraction, ...]]]:
    found: list[tuple[CropMeasure, Mean, tuple[Fraction, ...]]] = []
    for measure in crop.measures:
        own = [row for row in readings if row.measure == measure.id]
        if own and own[0].place == 0:
            found.append((measure, Mean(measure.base(own[0].value), test.fruit), ()))
        elif own:
            figures = tuple(measure.base(row.value) for row in own)
            found.append((measure, mean_of(figures), figures))
    return found
