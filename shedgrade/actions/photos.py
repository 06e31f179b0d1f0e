"""Photos of faults: kept, and voided."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from shedgrade.domain.crop import DefectKind
from shedgrade.storage.history import tell
from shedgrade.storage.tables import Consignment, Photo

MOST_OF_A_KIND = 3  # as the table's own rule says


class EnoughPhotosError(ValueError):
    """The consignment has as many photos of this kind of fault as it may have."""


@dataclass(frozen=True, slots=True)
class PhotoFacts:
    """A photo to keep: what it shows, its pixels as a JPEG of ours, and how many there are of them."""

    kind: DefectKind
    jpeg: bytes
    width: int
    height: int


def add_photo(session: Session, consignment_id: int, facts: PhotoFacts, person_id: int, now: datetime) -> Photo:
    """Keep a photo; EnoughPhotosError."""
    session.get(Consignment, consignment_id, with_for_update=True)  # two at once would both take the last place
    taken = select(Photo.place).where(
        Photo.consignment_id == consignment_id, Photo.kind == facts.kind.id, col(Photo.voided_at).is_(None)
    )
    free = sorted(set(range(1, MOST_OF_A_KIND + 1)) - set(session.exec(taken).all()))
    if not free:
        raise EnoughPhotosError
    photo = Photo(
        consignment_id=consignment_id,
        kind=facts.kind.id,
        place=free[0],
        content=facts.jpeg,
        width=facts.width,
        height=facts.height,
        taken_at=now,
        taken_by_id=person_id,
    )
    tell(photo, shows=facts.kind.name)
    session.add(photo)
    session.flush()
    return photo
