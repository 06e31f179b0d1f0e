"""Quick looks of consignments. Nothing that counts measured fruit reads from here."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from shedgrade.domain.people import Doer, Person
from shedgrade.storage.intake import ConsignmentWhole, consignment_for
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import PersonRow, QuickLook, QuickLookFruit
from shedgrade.storage.voided import Voided, voided_of


@dataclass(frozen=True, slots=True)
class Look:
    """A quick look as it stands: by whom, the fruit tapped and not taken back, in order, and who voided it."""

    row: QuickLook
    looked_by: Doer
    fruit: tuple[QuickLookFruit, ...]
    voided: Voided | None

    @property
    def id(self) -> int:
        """Its id."""
        return self.row.id or 0

    @property
    def net_g(self) -> int:
        """What the fruit weigh together."""
        return self.row.gross_g - (self.row.tare_g or 0)

    @property
    def is_done(self) -> bool:
        """Whether every fruit of the tray was tapped."""
        return len(self.fruit) >= self.row.fruit


def looks_of(session: Session, consignment_ids: Collection[int]) -> dict[int, list[Look]]:
    """By consignment its quick looks, the newest first, voided ones too. The consignments' own loader says who may see
    them. Two queries."""
    return _looks(session, consignment_ids=consignment_ids)


def look_for(session: Session, person: Person, look_id: int, *, lock: bool = False) -> tuple[ConsignmentWhole, Look]:
    """One quick look with its consignment; MissingError if there is none this person may see. ``lock`` keeps others
    from tapping until this session is done."""
    row = session.get(QuickLook, look_id, with_for_update=lock)
    if row is None:
        raise MissingError
    whole = consignment_for(session, person, row.consignment_id)
    looks = _looks(session, consignment_ids=[row.consignment_id])[row.consignment_id]
    return whole, next(each for each in looks if each.id == look_id)


def _looks(session: Session, *, consignment_ids: Collection[int]) -> dict[int, list[Look]]:
    voider = aliased(PersonRow)
    query = (
        select(QuickLook, PersonRow, voider)
        .join(PersonRow, col(PersonRow.id) == QuickLook.looked_by_id)
        .join(voider, col(voider.id) == QuickLook.voided_by_id, isouter=True)
        .where(col(QuickLook.consignment_id).in_(consignment_ids))
        .order_by(col(QuickLook.looked_at).desc(), col(QuickLook.id).desc())
    )
    rows = session.exec(query).all()
    fruit = _fruit(session, [row.id or 0 for row, _, _ in rows])
    found: dict[int, list[Look]] = {}
    for row, by, voided_by in rows:
        voided = voided_of(row, voided_by)
        look = Look(row, Doer(by.name, by.grower_id), tuple(fruit.get(row.id or 0, ())), voided)
        found.setdefault(row.consignment_id, []).append(look)
    return found


def _fruit(session: Session, look_ids: list[int]) -> dict[int, list[QuickLookFruit]]:
    query = (
        select(QuickLookFruit)
        .where(col(QuickLookFruit.quick_look_id).in_(look_ids), col(QuickLookFruit.voided_at).is_(None))
        .order_by(col(QuickLookFruit.quick_look_id), col(QuickLookFruit.number))
    )
    found: dict[int, list[QuickLookFruit]] = {}
    for row in session.exec(query):
        found.setdefault(row.quick_look_id, []).append(row)
    return found
