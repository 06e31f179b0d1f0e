"""Quick looks, for a rough day: a tray weighed whole, one tap a fruit for its class and its main fault."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from shedgrade.actions import quick_looks as actions
from shedgrade.actions.quick_looks import NoFruitLeftError, NotTheLastError, TrayFacts
from shedgrade.actions.voiding import void as void_row
from shedgrade.domain import entry
from shedgrade.domain.crop import Crop
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G, say_weight
from shedgrade.storage import intake, quick_looks, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.quick_looks import Look
from shedgrade.web.answers import Answers
from shedgrade.web.bench_view import drawing, key_order
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId, row_id
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, see
from shedgrade.web.quick_look_view import NO_CLASS, OTHER_REASON, LookLine, fruit_words, look_line
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.voiding import Voiding, not_voided
from shedgrade.web.whoami import CurrentPerson, Grader

router = APIRouter()

NONE = "none"
_OTHER = (NONE, OTHER_REASON, "other")
_MOST_FRUIT = 300
_HEAVIEST_TRAY_G = 60_000


@dataclass(frozen=True, slots=True)
class StartView:
    """The form that begins a look."""

    title: str
    whole: ConsignmentWhole
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LastTap:
    """The fruit tapped last: its id, its number among those that stand, and what was tapped."""

    id: int
    number: int
    words: str


@dataclass(frozen=True, slots=True)
class TapView:
    """The keys: of the classes, or once a class was tapped, of the faults. ``best`` needs no fault."""

    title: str
    whole: ConsignmentWhole
    look_id: int
    number: int
    fruit: int
    classes: tuple[tuple[str, str], ...]
    best: str
    chosen: tuple[str, str] | None
    faults: tuple[tuple[str, str, str], ...]
    last: LastTap | None
    errors: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class LookView:
    """A look as it is read, with the form that voids it."""

    title: str
    whole: ConsignmentWhole
    look: LookLine
    last: LastTap | None
    may_grade: bool
    voiding: Voiding


@router.get("/consignments/{consignment_id}/quick-looks/new")
def ask(request: Request, person: Grader, session: ReadSession, consignment_id: RowId) -> HTMLResponse:
    """The form that begins a look."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    return page(request, "quick_looks/start.html", StartView(f"Quick look at {whole.name}", whole))


@router.post("/consignments/{consignment_id}/quick-looks", openapi_extra=publishes("gross", "tare", "fruit"))
def begin(
    request: Request,
    person: Grader,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    consignment_id: RowId,
) -> Response:
    """Begin a look at a tray."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    answers = Answers(posted)
    tray = _tray(answers, library.crops()[whole.block.crop_id])
    if tray is not None:
        look = actions.begin(session, whole.id, tray, person.id, shed.clock.now())
        return done(request, session, person, posted, f"/quick-looks/{look.id}/tapping")
    view = StartView(f"Quick look at {whole.name}", whole, posted, answers.errors)
    return page(request, "quick_looks/start.html", view, status=422)


@router.get("/quick-looks/{look_id}")
def shown(request: Request, person: CurrentPerson, session: ReadSession, look_id: RowId) -> HTMLResponse:
    """What the look says."""
    whole, look = quick_looks.look_for(session, person, look_id)
    return _look_page(request, session, person, whole, look)


@router.get("/quick-looks/{look_id}/tapping")
def tapping(
    request: Request,
    person: Grader,
    session: ReadSession,
    look_id: RowId,
    class_id: Annotated[str, Query(alias="class")] = "",
) -> Response:
    """The keys for the next fruit."""
    whole, look = quick_looks.look_for(session, person, look_id)
    if look.is_done or _closed(whole, look):
        return see(f"/quick-looks/{look_id}")
    return _tap_page(request, session, whole, look, class_id)


@router.post("/quick-looks/{look_id}/fruit", openapi_extra=publishes("class", "fault"))
def tap(
    request: Request, person: Grader, session: FormSession, posted: CurrentPosted, shed: CurrentShed, look_id: RowId
) -> Response:
    """Store one fruit: its class, and unless it is the best one, its main fault."""
    whole, look = quick_looks.look_for(session, person, look_id, lock=True)
    _must_be_open(whole, look)
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    answers = Answers(posted)
    class_id = answers.choice("class", {key or NONE: key for key, _ in _class_keys(spec)})
    is_best = class_id == spec.classes[0].id
    kinds = {NONE: ""} | {kind.id: kind.id for kind in spec.crop.kinds}
    kind = "" if is_best or class_id is None else answers.choice("fault", kinds)
    if class_id is None or kind is None:
        return _tap_page(request, session, whole, look, posted.get("class", ""), answers.errors, status=422)
    try:
        actions.tap(session, look, class_id, kind, person.id, shed.clock.now())
    except NoFruitLeftError:
        notice = "Every fruit of this tray was tapped already. Nothing more was stored."
        return _look_page(request, session, person, whole, look, Voiding(notice=notice), status=409)
    return _next(request, session, person, posted, look_id)


@router.post("/quick-looks/{look_id}/undoing", openapi_extra=publishes("fruit"))
def undo(
    request: Request, person: Grader, session: FormSession, posted: CurrentPosted, shed: CurrentShed, look_id: RowId
) -> Response:
    """Take the last tap back."""
    whole, look = quick_looks.look_for(session, person, look_id, lock=True)
    _must_be_open(whole, look)
    try:
        actions.take_back(session, look, row_id(posted.get("fruit", "")), person.id, shed.clock.now())
    except NotTheLastError:
        notice = "Another fruit was tapped meanwhile, so nothing was taken back. The last one stands here now."
        return _look_page(request, session, person, whole, look, Voiding(notice=notice), status=409)
    return _next(request, session, person, posted, look_id)


@router.post("/quick-looks/{look_id}/voiding", openapi_extra=publishes("reason"))
def void(
    request: Request, person: Grader, session: FormSession, posted: CurrentPosted, shed: CurrentShed, look_id: RowId
) -> Response:
    """Void the look for the reason given: it stays to be seen and counts no longer."""
    whole, look = quick_looks.look_for(session, person, look_id, lock=True)
    again = not_voided(posted, lambda reason: void_row(session, look.row, reason, person.id, shed.clock.now()))
    if again is None:
        return done(request, session, person, posted, f"/quick-looks/{look_id}")
    return _look_page(request, session, person, whole, look, again, status=again.status)


def _next(request: Request, session: Session, person: Person, posted: CurrentPosted, look_id: int) -> RedirectResponse:
    """On to the next fruit; the page of the keys leads on to the look once no fruit is left."""
    return done(request, session, person, posted, f"/quick-looks/{look_id}/tapping")


def _closed(whole: ConsignmentWhole, look: Look) -> bool:
    return whole.voided or look.voided is not None


def _must_be_open(whole: ConsignmentWhole, look: Look) -> None:
    must_stand(whole)
    if look.voided is not None:
        raise HTTPException(409, "This quick look was voided, so nothing was stored. Its page says who, when and why.")


def _tray(answers: Answers, crop: Crop) -> TrayFacts | None:
    gross_g = answers.read("gross", lambda text: entry.mass(text, most_g=_HEAVIEST_TRAY_G))
    tare_g = answers.read("tare", lambda text: entry.mass(text, most_g=_HEAVIEST_TRAY_G), needed=False)
    fruit = answers.read("fruit", lambda text: entry.whole(text, least=1, most=_MOST_FRUIT))
    if gross_g is not None and tare_g is not None and tare_g >= gross_g:
        answers.refuse("tare", "The empty tray cannot weigh as much as the full one; a smaller weight is accepted.")
    if not answers.fine or gross_g is None or fruit is None:
        return None
    mean_dg = (gross_g - (tare_g or 0)) * DG_PER_G // fruit
    if mean_dg < crop.lightest_dg or (crop.heaviest_dg is not None and mean_dg > crop.heaviest_dg):
        answers.refuse("gross", _no_such_fruit(mean_dg, fruit, crop))
        return None
    return TrayFacts(gross_g, tare_g, fruit)


def _no_such_fruit(mean_dg: int, fruit: int, crop: Crop) -> str:
    most = "" if crop.heaviest_dg is None else f", at most {say_weight(crop.heaviest_dg)}"
    return (
        f"With {fruit} fruit that makes {say_weight(mean_dg)} a fruit, and a {crop.name.lower()} weighs at least "
        f"{say_weight(crop.lightest_dg)}{most}. Look at the weights and the number again."
    )


def _class_keys(spec: Spec) -> tuple[tuple[str, str], ...]:
    return (*((each.id, each.name) for each in spec.classes), ("", NO_CLASS))


def _tap_page(
    request: Request,
    session: Session,
    whole: ConsignmentWhole,
    look: Look,
    chosen: str,
    errors: Mapping[str, str] | None = None,
    *,
    status: int = 200,
) -> HTMLResponse:
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    keys = tuple((key or NONE, name) for key, name in _class_keys(spec))
    best = spec.classes[0].id
    usual, others = key_order(spec.crop)
    view = TapView(
        title=f"Quick look at {whole.name}",
        whole=whole,
        look_id=look.id,
        number=len(look.fruit) + 1,
        fruit=look.row.fruit,
        classes=keys,
        best=best,
        chosen=next(((key, name) for key, name in keys if key == chosen and key != best), None),
        faults=(*((kind.id, kind.name, drawing(kind)) for kind in (*usual, *others)), _OTHER),
        last=_last(look, spec),
        errors=errors or {},
    )
    return page(request, "quick_looks/tap.html", view, status=status)


def _last(look: Look, spec: Spec) -> LastTap | None:
    if not look.fruit:
        return None
    return LastTap(look.fruit[-1].id or 0, len(look.fruit), fruit_words(look.fruit[-1], spec))


def _look_page(
    request: Request,
    session: Session,
    person: Person,
    whole: ConsignmentWhole,
    look: Look,
    voiding: Voiding | None = None,
    *,
    status: int = 200,
) -> HTMLResponse:
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    may_grade = person.may(Deed.GRADE) and not _closed(whole, look)
    view = LookView(
        title=f"Quick look at {whole.name}",
        whole=whole,
        look=look_line(look, spec),
        last=_last(look, spec) if may_grade else None,
        may_grade=may_grade,
        voiding=voiding or Voiding(),
    )
    return page(request, "quick_looks/look.html", view, status=status)
