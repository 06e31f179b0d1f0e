"""Photos of faults. Their pixels are read only when they are shown: a list of photos leaves them where they are."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy.orm import aliased, defer
from sqlmodel import Session, col, select

from shedgrade.domain.people import Doer, Person
from shedgrade.storage.intake import ConsignmentWhole, consignment_for
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import PersonRow, Photo
from shedgrade.storage.voided import Voided, voided_of


@dataclass(frozen=True, slots=True)
class PhotoTaken:
    """A photo without its pixels, by whom it was taken, and who voided it."""

    row: Photo
    taken_by: Doer
    voided: Voided | None

    @property
    def id(self) -> int:
        """Its id."""
        return self.row.id or 0


def photos_of(session: Session, consignment_ids: Collection[int]) -> dict[int, list[PhotoTaken]]:
    """By consignment its photos, kind by kind in the order they were taken, voided ones too. The consignments' own
    loader says who may see them."""
    voider = aliased(PersonRow)
    query = (
        select(Photo, PersonRow, voider)
        .join(PersonRow, col(PersonRow.id) == Photo.taken_by_id)
        .join(voider, col(voider.id) == Photo.voided_by_id, isouter=True)
        .where(col(Photo.consignment_id).in_(consignment_ids))
        .order_by(col(Photo.kind), col(Photo.taken_at), col(Photo.id))
        .options(defer(Photo.content))  # type: ignore[arg-type]
    )
    found: dict[int, list[PhotoTaken]] = {}
    for row, by, voided_by in session.exec(query):
        taken = PhotoTaken(row, Doer(by.name, by.grower_id), voided_of(row, voided_by))
        found.setdefault(row.consignment_id, []).append(taken)
    return found


def photo_for(session: Session, person: Person, photo_id: int) -> tuple[ConsignmentWhole, list[PhotoTaken], PhotoTaken]:
    """One photo, with its consignment and all photos of that; MissingError if there is none this person may see."""
    consignment_id = session.exec(select(Photo.consignment_id).where(Photo.id == photo_id)).first()
    if consignment_id is None:
        raise MissingError
    whole = consignment_for(session, person, consignment_id)
    photos = photos_of(session, [consignment_id])[consignment_id]
    return whole, photos, next(each for each in photos if each.id == photo_id)


def content_of(session: Session, photo_id: int) -> bytes:
    """The pixels of a photo that was loaded: a JPEG."""
    return session.exec(select(Photo.content).where(Photo.id == photo_id)).one()
