"""Photos in words: what each shows, for those who cannot see it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from shedgrade.domain.crop import Crop
from shedgrade.domain.people import Person
from shedgrade.domain.units import say_day
from shedgrade.storage.photos import PhotoTaken
from shedgrade.storage.voided import Voided

Local = Callable[[datetime], datetime]


@dataclass(frozen=True, slots=True)
class PhotoLine:
    """One photo: the words that stand for it, its size, and who voided it."""

    id: int
    words: str
    width: int
    height: int
    voided: Voided | None


@dataclass(frozen=True, slots=True)
class FaultPhotos:
    """The photos of one kind of fault, those that stand first."""

    name: str
    photos: tuple[PhotoLine, ...]


def by_fault(photos: Sequence[PhotoTaken], crop: Crop, reader: Person, local: Local) -> list[FaultPhotos]:
    """A consignment's photos, fault by fault in the order of the crop."""
    order = [kind.id for kind in crop.kinds]
    ordered = sorted(photos, key=lambda each: order.index(each.row.kind))
    return [
        FaultPhotos(crop.kind(kind).name, tuple(_lines(list(some), crop, reader, local)))
        for kind, some in groupby(ordered, key=lambda each: each.row.kind)
    ]


def line_of(photo_id: int, faults: Sequence[FaultPhotos]) -> PhotoLine:
    """One of them by its id."""
    return next(each for fault in faults for each in fault.photos if each.id == photo_id)


def _lines(photos: list[PhotoTaken], crop: Crop, reader: Person, local: Local) -> list[PhotoLine]:
    standing = [each for each in photos if each.voided is None]
    voided = [each for each in photos if each.voided is not None]
    numbered = [(each, f", photo {number} of {len(standing)}") for number, each in enumerate(standing, 1)]
    return [
        PhotoLine(each.id, _words(each, which, crop, reader, local), each.row.width, each.row.height, each.voided)
        for each, which in [*numbered, *((each, ", voided photo") for each in voided)]
    ]


def _words(photo: PhotoTaken, which: str, crop: Crop, reader: Person, local: Local) -> str:
    """What stands for it: "Sap stain, photo 2 of 3, taken Mon 30 Nov 2026 by the shed"."""
    day = say_day(local(photo.row.taken_at).date())
    name = crop.kind(photo.row.kind).name.capitalize()
    return f"{name}{which}, taken {day} by {photo.taken_by.told_to(reader)}"
