"""A consignment with its bench: what tests of samples start from."""

from typing import NamedTuple

from sqlmodel import Session, select

from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.storage.database import Database
from shedgrade.storage.tables import TrayTypeRow
from tests.support import season


class Bench(NamedTuple):
    """Ids of a consignment of three bins, its market's two trays, a sample begun at intake, and who grades."""

    consignment: int
    tray: int
    small_tray: int
    sample: int
    grader: int
    grower: int


def bench(database: Database, spec: Spec | None = None, number: str = "1042") -> Bench:
    """Store them; under the AGMARK mango grades if no spec is given."""
    with database.writing() as session:
        grower = season.grower(session, f"Tallow Creek {number}")
        trays = (_tray(session, 7000), _tray(session, 4000))
        version = season.spec_version(session, spec or library.standards()["mango-agmark"])
        market = season.market(session, version, trays, name=f"Kestrow {number}")
        block = season.block(session, grower)
        consignment = season.consignment(session, block, market, bins_net_g=[400_000] * 3, number=number)
        sample = season.sample(session, consignment, tray_type_id=trays[0])
        made = Bench(consignment, *trays, sample, season.shed_person(session), grower)
        session.commit()
    return made


def _tray(session: Session, net_g: int) -> int:
    """The shed's tray of that weight, made at first use."""
    found = session.exec(select(TrayTypeRow.id).where(TrayTypeRow.net_g == net_g)).first()
    return found or season.tray_type(session, net_g, (8, 10) if net_g < 7000 else (12, 14, 16, 18, 20))
