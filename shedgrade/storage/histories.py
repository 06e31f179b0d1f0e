"""Which rows the history of one thing is made of: itself, and what hangs on it and is nowhere else to be read."""

from sqlmodel import Session, col, select

from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.nouns import SIGN_IN
from shedgrade.storage.tables import (
    FruitRow,
    MaturityTest,
    Photo,
    PriceList,
    QuickLook,
    QuickLookFruit,
    RunEvent,
    RunLoad,
    Sample,
)

Named = list[tuple[str, int]]

# What the shed itself keeps, each with the list it stands on.
OF_THE_SHED = ("setting", "tablet", "scale")
OF_BINS = ("bin type", "tare")
OF_TRAYS = ("tray type",)
OF_PUBLISHED_SPECS = ("spec",)
OF_SPECS = (*OF_PUBLISHED_SPECS, "spec draft")


def of_consignment(session: Session, whole: ConsignmentWhole) -> Named:
    """The consignment, its docket, its wet empties, its maturity tests, its quick looks and what was undone in them,
    its photos, its runs with the bins they shared, its samples and their voided fruit."""
    return [
        ("docket", whole.docket.id or 0),
        ("consignment", whole.id),
        *(("wet empties", each.id or 0) for each in whole.empties),
        *(("maturity test", test_id) for test_id in _tests_of(session, whole.id)),
        *_quick_looks_of(session, whole.id),
        *(("photo", photo_id) for photo_id in _photos_of(session, whole.id)),
        *_runs_of(session, whole.id),
        *(named for sample_id in samples_of(session, whole.id) for named in of_sample(session, sample_id)),
    ]


def of_sample(session: Session, sample_id: int) -> Named:
    """The sample and its voided fruit; what was measured is told by :mod:`.measured`."""
    voided = select(FruitRow.id).where(FruitRow.sample_id == sample_id, col(FruitRow.voided_at).is_not(None))
    return [("sample", sample_id), *(("fruit", fruit_id or 0) for fruit_id in session.exec(voided))]


def _tests_of(session: Session, consignment_id: int) -> list[int]:
    tests = select(MaturityTest.id).where(MaturityTest.consignment_id == consignment_id)
    return [each or 0 for each in session.exec(tests)]


def _quick_looks_of(session: Session, consignment_id: int) -> Named:
    looks = select(QuickLook.id).where(QuickLook.consignment_id == consignment_id)
    undone = select(QuickLookFruit.id).where(
        col(QuickLookFruit.quick_look_id).in_(looks), col(QuickLookFruit.voided_at).is_not(None)
    )
    return [
        *(("quick look", look_id or 0) for look_id in session.exec(looks)),
        *(("quick look fruit", fruit_id or 0) for fruit_id in session.exec(undone)),
    ]


def _photos_of(session: Session, consignment_id: int) -> list[int]:
    photos = select(Photo.id).where(Photo.consignment_id == consignment_id)
    return [each or 0 for each in session.exec(photos)]


def _runs_of(session: Session, consignment_id: int) -> Named:
    runs = select(RunLoad.run_id).where(RunLoad.consignment_id == consignment_id)
    bins = (
        select(RunEvent.shared_bin_id).where(col(RunEvent.run_id).in_(runs), RunEvent.kind == "shared bin").distinct()
    )
    return [
        *(("run", run_id) for run_id in session.exec(runs)),
        *(("shared bin", bin_id or 0) for bin_id in session.exec(bins)),
    ]


def samples_of(session: Session, consignment_id: int) -> list[int]:
    """The ids of a consignment's samples."""
    return [each or 0 for each in session.exec(select(Sample.id).where(Sample.consignment_id == consignment_id))]


def of_person(person_id: int) -> Named:
    """The person, and the sign-ins of theirs that were ended in the list of devices."""
    return [("person", person_id), (SIGN_IN, person_id)]


def of_market(session: Session, market_id: int) -> Named:
    """The market and its price lists."""
    lists = session.exec(select(PriceList.id).where(PriceList.market_id == market_id))
    return [("market", market_id), *(("price list", list_id or 0) for list_id in lists)]
