"""Photos of faults: up to three of each a consignment, so that its grower can see what was meant."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import photos as actions
from shedgrade.actions.photos import MOST_OF_A_KIND, EnoughPhotosError, PhotoFacts
from shedgrade.actions.voiding import void as void_row
from shedgrade.domain.crop import Crop
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec import library
from shedgrade.storage import intake, photos
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.missing import MissingError
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.photo_view import PhotoLine, by_fault, line_of
from shedgrade.web.sent_photo import FILE, CurrentPhoto
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession, Shed
from shedgrade.web.voiding import Voiding, not_voided
from shedgrade.web.whoami import CurrentPerson, Grader

router = APIRouter()

# The picture is nothing but a picture, whatever a browser may make of it.
_ONLY_A_PICTURE = {
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'; sandbox",
    "content-disposition": "inline",
}


@dataclass(frozen=True, slots=True)
class NewPhotoView:
    """The form that takes a photo."""

    title: str
    whole: ConsignmentWhole
    kinds: tuple[tuple[str, str], ...]
    most: int
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PhotoView:
    """One photo, and the form that voids it. A voided one is shown to the shed alone."""

    title: str
    whole: ConsignmentWhole
    photo: PhotoLine
    is_shown: bool
    may_void: bool
    voiding: Voiding


@router.get("/consignments/{consignment_id}/photos/new")
def ask(request: Request, person: Grader, session: ReadSession, consignment_id: RowId) -> HTMLResponse:
    """The form that takes a photo."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    return page(request, "photos/new.html", _new_view(whole))


@router.post("/consignments/{consignment_id}/photos", openapi_extra=publishes("kind", file=FILE))
def add(
    request: Request,
    person: Grader,
    photo: CurrentPhoto,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    consignment_id: RowId,
) -> Response:
    """Keep a photo that was read whole."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    answers = Answers(posted)
    kind = answers.choice("kind", {each.id: each for each in _crop(whole).kinds})
    if photo.mistake:
        answers.refuse(FILE, photo.mistake)
    if kind is not None and photo.picture is not None:
        picture = photo.picture
        facts = PhotoFacts(kind, picture.jpeg, picture.width, picture.height)
        try:
            actions.add_photo(session, whole.id, facts, person.id, shed.clock.now())
            return done(request, session, person, posted, f"/consignments/{whole.id}#photos")
        except EnoughPhotosError:
            enough = f"There are {MOST_OF_A_KIND} photos of {kind.name} already; void one of them first."
            answers.refuse("kind", enough)
    return page(request, "photos/new.html", _new_view(whole, posted, answers.errors), status=422)


@router.get("/photos/{photo_id}")
def shown(
    request: Request, person: CurrentPerson, session: ReadSession, shed: CurrentShed, photo_id: RowId
) -> HTMLResponse:
    """One photo, large."""
    return _photo_page(request, session, person, shed, photo_id)


@router.get("/photos/{photo_id}/file")
def as_file(person: CurrentPerson, session: ReadSession, photo_id: RowId) -> Response:
    """The picture itself; MissingError for a voided one unless it is the shed that asks."""
    _, _, photo = photos.photo_for(session, person, photo_id)
    if photo.voided is not None and not person.may(Deed.SEE_SHED):
        raise MissingError
    return Response(photos.content_of(session, photo_id), media_type="image/jpeg", headers=_ONLY_A_PICTURE)


@router.post("/photos/{photo_id}/voiding", openapi_extra=publishes("reason"))
def void(
    request: Request, person: Grader, session: FormSession, posted: CurrentPosted, shed: CurrentShed, photo_id: RowId
) -> Response:
    """Void a photo for the reason given: the grower sees it no longer."""
    whole, _, photo = photos.photo_for(session, person, photo_id)
    again = not_voided(posted, lambda reason: void_row(session, photo.row, reason, person.id, shed.clock.now()))
    if again is None:
        return done(request, session, person, posted, f"/consignments/{whole.id}#photos")
    return _photo_page(request, session, person, shed, photo_id, again, status=again.status)


def _crop(whole: ConsignmentWhole) -> Crop:
    return library.crops()[whole.block.crop_id]


def _new_view(
    whole: ConsignmentWhole, typed: Mapping[str, str] | None = None, errors: Mapping[str, str] | None = None
) -> NewPhotoView:
    kinds = tuple((each.id, each.name) for each in _crop(whole).kinds)
    return NewPhotoView(f"Photo of {whole.name}", whole, kinds, MOST_OF_A_KIND, typed or {}, errors or {})


def _photo_page(
    request: Request,
    session: Session,
    person: Person,
    shed: Shed,
    photo_id: int,
    voiding: Voiding | None = None,
    *,
    status: int = 200,
) -> HTMLResponse:
    whole, every, photo = photos.photo_for(session, person, photo_id)
    view = PhotoView(
        title=f"Photo of {whole.name}",
        whole=whole,
        photo=line_of(photo_id, by_fault(every, _crop(whole), person, shed.clock.local)),
        is_shown=photo.voided is None or person.may(Deed.SEE_SHED),
        may_void=photo.voided is None and person.may(Deed.GRADE),
        voiding=voiding or Voiding(),
    )
    return page(request, "photos/photo.html", view, status=status)
