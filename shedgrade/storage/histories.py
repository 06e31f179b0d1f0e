"""Which rows the history of one thing is made of: itself, and what hangs on it and is nowhere else to be read."""

from sqlmodel import Session, col, select

from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.tables import FruitRow, MaturityTest, PriceList, Sample

Named = list[tuple[str, int]]

# What the shed itself keeps: its rules, tablets, bins, trays and specs.
OF_THE_SHED = ("setting", "tablet", "bin type", "tare", "tray type", "spec", "spec draft")


def of_consignment(session: Session, whole: ConsignmentWhole) -> Named:
    """The consignment, its docket, its wet empties, its maturity tests, its samples and their voided fruit."""
    samples = session.exec(select(Sample.id).where(Sample.consignment_id == whole.id)).all()
    return [
        ("docket", whole.docket.id or 0),
        ("consignment", whole.id),
        *(("wet empties", each.id or 0) for each in whole.empties),
        *(("maturity test", test_id) for test_id in _tests_of(session, whole.id)),
        *(named for sample_id in samples for named in of_sample(session, sample_id or 0)),
    ]


def of_sample(session: Session, sample_id: int) -> Named:
    """The sample and its voided fruit; what was measured says itself by whom and when."""
    voided = select(FruitRow.id).where(FruitRow.sample_id == sample_id, col(FruitRow.voided_at).is_not(None))
    return [("sample", sample_id), *(("fruit", fruit_id or 0) for fruit_id in session.exec(voided))]


def _tests_of(session: Session, consignment_id: int) -> list[int]:
    tests = select(MaturityTest.id).where(MaturityTest.consignment_id == consignment_id)
    return [each or 0 for each in session.exec(tests)]


def of_market(session: Session, market_id: int) -> Named:
    """The market and its price lists."""
    lists = session.exec(select(PriceList.id).where(PriceList.market_id == market_id))
    return [("market", market_id), *(("price list", list_id or 0) for list_id in lists)]
