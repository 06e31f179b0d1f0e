"""The records that the walk asks for: a grower's own, another grower's, and one that is not there."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any, NamedTuple

from sqlmodel import Session, col, func, select

from shedgrade.actions.maturity import MaturityFacts, add_test
from shedgrade.actions.photos import PhotoFacts, add_photo
from shedgrade.actions.quick_looks import TrayFacts, begin
from shedgrade.actions.scales import pair, show_code, take_in
from shedgrade.actions.sign_ins import register_tablet
from shedgrade.actions.spec_confirmations import Reading, confirm, open_values
from shedgrade.domain.people import Role
from shedgrade.domain.scales import LATE_AFTER
from shedgrade.domain.spec import library
from shedgrade.storage import tables
from shedgrade.storage.database import Database
from shedgrade.storage.scales import BenchPlace
from tests.support import season
from tests.support.visitor import signed_in

OWN, OTHER, MISSING = "own", "another's", "missing"
MISSING_ID = 999_999_999
OWN_GROWER, ANOTHER_GROWER = 1, 3  # of the demo season
Ids = Mapping[str, int | str]


class Records(NamedTuple):
    """The ids to put into an address, by whose they are."""

    own: Ids
    other: Ids
    missing: Ids

    def of(self, whose: str) -> Ids:
        """The ids of one kind."""
        return {OWN: self.own, OTHER: self.other, MISSING: self.missing}[whose]


def records(database: Database, person_id: int) -> Records:
    """The ids for this person: OWN_GROWER's things are their own, ANOTHER_GROWER's another's.

    What belongs to no grower (a market, a bin type, a quote) is the same record in both. The grower's own docket is one
    that a truck shared with another grower's fruit; the other's is all others'.
    """
    other_person = _somebody_else(database)
    _a_test_and_a_look_of_each(database, person_id)
    with database.reading() as session:
        own, other = _ids(session, OWN_GROWER), _ids(session, ANOTHER_GROWER)
    own |= {"person_id": person_id, "sign_in_id": _other_device(database, person_id)}
    other |= {"person_id": other_person, "sign_in_id": _other_device(database, other_person)}
    return Records(_with_short_names(own), _with_short_names(other), _Missing())


class _Missing(dict[str, int | str]):
    """An id for every name that no record has."""

    def __missing__(self, name: str) -> int | str:
        return "nothing" if name == "key" else MISSING_ID


def _ids(session: Session, grower_id: int) -> dict[str, int | str]:
    block_id = _least(session, tables.Block, tables.Block.grower_id == grower_id)
    newest = _newest(session, block_id)
    sample_id = _least(session, tables.Sample, tables.Sample.consignment_id == newest.id)
    first_tray = select(tables.MarketTray.tray_type_id).where(
        tables.MarketTray.market_id == newest.market_id, tables.MarketTray.place == 1
    )
    shed = {
        "bin_type_id": tables.BinType,
        "quote_id": tables.Quote,
        "spec_version_id": tables.SpecVersion,
        "tablet_id": tables.Tablet,
        "draft_id": tables.SpecDraft,
        "confirmation_id": tables.SpecConfirmation,
        "scale_id": tables.Scale,
        "reading_id": tables.ScaleReading,
        "run_id": tables.Run,
        "shared_bin_id": tables.SharedBinRow,
    }
    ids: dict[str, int | str] = {
        "grower_id": grower_id,
        "block_id": block_id,
        "docket_id": newest.docket_id,
        "consignment_id": newest.id or 0,
        "sample_id": sample_id,
        "test_id": _least(session, tables.MaturityTest, tables.MaturityTest.consignment_id == newest.id),
        "look_id": _newest_look(session, newest.id or 0),
        "photo_id": _least(session, tables.Photo, tables.Photo.consignment_id == newest.id),
        "fruit_id": _least(session, tables.FruitRow, tables.FruitRow.sample_id == sample_id),
        "market_id": newest.market_id,
        "tray_type_id": _least(session, tables.TrayTypeRow, col(tables.TrayTypeRow.id).in_(first_tray)),
        "key": "idle-minutes",
        "part": "classes",
        "paper": "a4",
    }
    return ids | {name: _least(session, table) for name, table in shed.items()}


def _with_short_names(ids: dict[str, int | str]) -> dict[str, int | str]:
    """Beside market_id also market: queries and forms have short names."""
    return ids | {name.removesuffix("_id").removesuffix("_type"): value for name, value in ids.items()}


def _least(session: Session, table: Any, *where: Any) -> int:
    found = session.exec(select(func.min(table.id)).where(*where)).one()
    assert found, f"the season has no {table.__name__}"
    return int(found)


def _newest(session: Session, block_id: int) -> tables.Consignment:
    query = select(tables.Consignment).where(tables.Consignment.block_id == block_id)
    return session.exec(query.order_by(col(tables.Consignment.received_at).desc())).all()[0]


def _newest_look(session: Session, consignment_id: int) -> int:
    """The one that was just begun: its fruit are still to be tapped."""
    query = select(func.max(tables.QuickLook.id)).where(tables.QuickLook.consignment_id == consignment_id)
    return session.exec(query).one() or 0


def _somebody_else(database: Database) -> int:
    """Another person of the shed, a tablet of it with its scale, and a value of a spec that they confirmed."""
    with database.writing() as session:
        person_id = season.shed_person(session, "Somebody else", Role.SUPERVISOR)
        tablet = register_tablet(session, "Bench two", person_id, datetime.now(UTC))
        _a_scale(session, tablet.id, person_id)
        codex = session.exec(
            select(tables.SpecVersion).where(tables.SpecVersion.spec_key == "mango-codex-cxs184")
        ).one()
        place = open_values(session, codex)[0].place
        read = Reading(person_id, date(2026, 1, 5), "the printed text, section 3", datetime.now(UTC))
        confirm(session, codex, [place], read)
        session.commit()
    return person_id


def _a_scale(session: Session, tablet_id: int, person_id: int) -> None:
    """A scale that feeds the tablet, and a reading that came late."""
    now = datetime.now(UTC)
    pair(session, show_code(session, BenchPlace(tablet_id, None), person_id, now), "Scale at ttyUSB0", now)
    scale = session.exec(select(tables.Scale)).one()
    late = now - 2 * LATE_AFTER
    take_in(session, scale, tables.ScaleReading(scale_id=0, run="r", number=1, weight_dg=4120, read_at=late), now)


def _a_test_and_a_look_of_each(database: Database, person_id: int) -> None:
    """A maturity test of the newest consignment of each of the two growers, a quick look at it, and a photo."""
    facts = MaturityFacts(date(2026, 1, 30), 10, cut=True, readings={"dry-matter": (1500,)})
    shown = PhotoFacts(library.crops()["mango"].kind("sap-stain"), b"pixels", 640, 480)
    with database.writing() as session:
        for grower_id in (OWN_GROWER, ANOTHER_GROWER):
            block_id = _least(session, tables.Block, tables.Block.grower_id == grower_id)
            newest = _newest(session, block_id).id or 0
            add_test(session, newest, facts, person_id, datetime.now(UTC))
            add_photo(session, newest, shown, person_id, datetime.now(UTC))
            begin(session, newest, TrayFacts(16_000, 900, 40), person_id, datetime.now(UTC))
        session.commit()


def _other_device(database: Database, person_id: int) -> int:
    """A second sign-in of the person."""
    signed_in(database, person_id)
    with database.reading() as session:
        found = select(func.max(tables.SignIn.id)).where(tables.SignIn.person_id == person_id)
        return session.exec(found).one() or 0
