"""Drafts of specs: begun from nothing or from a published version, read, published, put aside and taken up again."""

import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import spec_drafts as actions
from shedgrade.actions.spec_drafts import DraftError, Writer
from shedgrade.domain.people import Person
from shedgrade.domain.spec import library
from shedgrade.domain.spec.beginning import FIRST_EDITION
from shedgrade.domain.spec.comparing import Change, compare
from shedgrade.storage import spec_drafts, specs
from shedgrade.storage.missing import MissingError
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Market, SpecVersion
from shedgrade.web.answers import Answers
from shedgrade.web.draft_doubts import DoubtLine, doubt_lines
from shedgrade.web.draft_page import draft_page
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.routes.specs import ComparisonView, comparison_answer, spec_name, toml_file
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import DraftReader, SpecKeeper

router = APIRouter()

_LONGEST_TITLE = 100
_LONGEST_EDITION = 40


@dataclass(frozen=True, slots=True)
class NewSpecView:
    """The ways to begin a spec: what can be copied by fruit, and the form for one from nothing."""

    title: str
    fruits: list[tuple[str, list[SpecVersion]]]
    crops: list[tuple[str, str]]
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CopyView:
    """The form that copies a version; ``may_follow`` says whether it may become that spec's next version."""

    title: str
    row: SpecVersion
    may_follow: bool
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PublishingView:
    """What publishing a draft will change: what differs from the version before (from what it was copied from, for the
    first of its spec; None without either), the markets that go by an older version, and what it hardly means."""

    title: str
    draft: DraftWhole
    number: int
    answer: str
    before: str
    after: str
    changes: tuple[Change, ...] | None
    markets: list[tuple[Market, SpecVersion]]
    doubts: list[DoubtLine]


@router.get("/specs/new")
def new(request: Request, _person: SpecKeeper, session: ReadSession) -> HTMLResponse:
    """The ways to begin."""
    return page(request, "drafts/new.html", _new(session))


@router.post("/drafts", openapi_extra=publishes("title", "crop"))
def begin(
    request: Request, person: SpecKeeper, session: FormSession, posted: CurrentPosted, shed: CurrentShed
) -> Response:
    """A draft from nothing."""
    answers = Answers(posted)
    crop = answers.choice("crop", library.crops())
    title = answers.read("title", _title) or ""
    if crop is None or not answers.fine:
        return page(request, "drafts/new.html", _new(session, posted, answers.errors), status=422)
    draft = actions.begin(session, crop, title, Writer(person.id, shed.clock.now()))
    return done(request, session, person, posted, f"/drafts/{draft.id}")


@router.get("/specs/{spec_version_id}/copy")
def ask_copy(request: Request, _person: SpecKeeper, session: ReadSession, spec_version_id: RowId) -> HTMLResponse:
    """What the copy is to be."""
    return page(request, "drafts/copy.html", _copy(specs.version(session, spec_version_id)))


@router.post("/specs/{spec_version_id}/drafts", openapi_extra=publishes("becomes", "title", "edition"))
def copy(
    request: Request,
    person: SpecKeeper,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    spec_version_id: RowId,
) -> Response:
    """A draft of a published version: its next version, or a spec of the shed's own."""
    row, answers = specs.version(session, spec_version_id), Answers(posted)
    view = _copy(row)
    follows = view.may_follow and bool(answers.choice("becomes", {"next": True, "own": False}))
    title = "" if follows else answers.read("title", _title) or ""
    edition = "" if follows else answers.read("edition", _edition, needed=False) or ""
    if not answers.fine:
        return page(request, "drafts/copy.html", _copy(row, posted, answers.errors), status=422)
    draft = actions.copy(session, row, title, Writer(person.id, shed.clock.now()), edition)
    return done(request, session, person, posted, f"/drafts/{draft.id}")


@router.get("/drafts/{draft_id}")
def shown(request: Request, person: DraftReader, session: ReadSession, draft_id: RowId) -> HTMLResponse:
    """One draft, to read and to go on with."""
    return draft_page(request, session, person, spec_drafts.draft(session, draft_id))


@router.get("/drafts/{draft_id}/file")
def as_file(_person: DraftReader, session: ReadSession, draft_id: RowId) -> Response:
    """The draft as a file, as it stands."""
    found = spec_drafts.draft(session, draft_id)
    return toml_file(found.content, f"{found.row.spec_key}-draft")


@router.get("/drafts/{draft_id}/comparison")
def compared(request: Request, _person: DraftReader, session: ReadSession, draft_id: RowId) -> HTMLResponse:
    """What differs from the version the draft was copied from."""
    found = spec_drafts.draft(session, draft_id)
    base = found.based_on
    changes = None if base is None else compare(specs.spec_in(base), found.spec)
    view = ComparisonView(
        title=f"{found.row.title} compared",
        answer=comparison_answer(changes) if base is not None else "It was not copied from anything",
        back=f"/drafts/{draft_id}",
        back_words=found.row.title,
        before="" if base is None else spec_name(base),
        after="The draft",
        changes=changes,
        others=[],
    )
    return page(request, "specs/comparison.html", view)


@router.get("/drafts/{draft_id}/publishing")
def ask_publish(request: Request, person: SpecKeeper, session: ReadSession, draft_id: RowId) -> HTMLResponse:
    """What publishing will change, before it is done for good."""
    found = spec_drafts.draft(session, draft_id)
    if not found.is_open:
        raise MissingError
    return page(request, "drafts/publishing.html", _publishing(session, person, found))


@router.post("/drafts/{draft_id}/publishing", openapi_extra=publishes("version"))
def publish(
    request: Request,
    person: SpecKeeper,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    draft_id: RowId,
) -> Response:
    """Publish the draft: from then on it cannot change."""
    found, version = spec_drafts.draft(session, draft_id), Answers(posted).version()
    try:
        published = actions.publish_draft(session, found, version, shed.clock.now())
    except (DraftError, StaleError) as mistake:
        return _refused(request, session, person, draft_id, mistake)
    return done(request, session, person, posted, f"/specs/{published.id}?done=published")


@router.post("/drafts/{draft_id}/undoing", openapi_extra=publishes("version"))
def undo(
    request: Request, person: SpecKeeper, session: FormSession, posted: CurrentPosted, draft_id: RowId
) -> Response:
    """Go back one change."""
    return _deed(request, session, person, posted, draft_id, actions.undo)


@router.post("/drafts/{draft_id}/redoing", openapi_extra=publishes("version"))
def redo(
    request: Request, person: SpecKeeper, session: FormSession, posted: CurrentPosted, draft_id: RowId
) -> Response:
    """Have the change again that was undone last."""
    return _deed(request, session, person, posted, draft_id, actions.redo)


@router.post("/drafts/{draft_id}/putting-aside", openapi_extra=publishes("version"))
def put_aside(
    request: Request,
    person: SpecKeeper,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    draft_id: RowId,
) -> Response:
    """Leave the draft; it can be taken up again."""

    def deed(session: Session, found: DraftWhole, version: int) -> None:
        actions.put_aside(session, found, version, shed.clock.now())

    return _deed(request, session, person, posted, draft_id, deed)


@router.post("/drafts/{draft_id}/return", openapi_extra=publishes("version"))
def take_up(
    request: Request, person: SpecKeeper, session: FormSession, posted: CurrentPosted, draft_id: RowId
) -> Response:
    """Go on with a draft that was put aside."""
    return _deed(request, session, person, posted, draft_id, actions.take_up)


def _publishing(session: Session, person: Person, found: DraftWhole) -> PublishingView:
    older = specs.of_spec(session, found.row.spec_key)
    base = older[-1] if older else found.based_on
    changes = None if base is None else compare(specs.spec_in(base), found.spec)
    number = older[-1].version + 1 if older else 1
    return PublishingView(
        title=f"Publish {found.row.title}, version {number}?",
        draft=found,
        number=number,
        answer=comparison_answer(changes),
        before="" if base is None else spec_name(base),
        after=f"Version {number}, when published",
        changes=changes,
        markets=specs.markets_on(session, older),
        doubts=doubt_lines(found, person),
    )


def _deed(
    request: Request,
    session: Session,
    person: Person,
    posted: CurrentPosted,
    draft_id: int,
    deed: Callable[[Session, DraftWhole, int], None],
) -> Response:
    try:
        deed(session, spec_drafts.draft(session, draft_id), Answers(posted).version())
    except (DraftError, StaleError) as mistake:
        return _refused(request, session, person, draft_id, mistake)
    return done(request, session, person, posted, f"/drafts/{draft_id}")


def _refused(
    request: Request, session: Session, person: Person, draft_id: int, mistake: DraftError | StaleError
) -> Response:
    """The draft as it stands, with what was not done and why."""
    session.rollback()
    found = spec_drafts.draft(session, draft_id)
    stale = isinstance(mistake, StaleError)
    notice = "Nothing was done: look at it as it stands now first." if stale else str(mistake)
    return draft_page(request, session, person, found, notice=notice, stale=stale, status=422)


def _title(text: str) -> str:
    """The title of a spec; ValueError."""
    return _line(text, _LONGEST_TITLE)


def _edition(text: str) -> str:
    """The edition of a spec; ValueError."""
    return _line(text, _LONGEST_EDITION)


def _line(text: str, longest: int) -> str:
    title = " ".join(text.split())
    if len(title) > longest:
        raise ValueError(f"That is {len(title)} letters long; at most {longest} fit.")
    if any(unicodedata.category(sign) == "Cc" for sign in title):
        raise ValueError("A sign in it cannot be written. Letters, figures and the usual signs are accepted.")
    return title


def _new(
    session: Session, typed: Mapping[str, str] | None = None, errors: Mapping[str, str] | None = None
) -> NewSpecView:
    crops = library.crops()
    newest = specs.newest(session)
    fruits = [(crop.name, [row for row in newest if row.crop_id == crop.id]) for crop in crops.values()]
    return NewSpecView(
        title="A new spec",
        fruits=[(name, rows) for name, rows in fruits if rows],
        crops=[(crop.id, crop.name) for crop in crops.values()],
        typed=typed or {},
        errors=errors or {},
    )


def _copy(
    row: SpecVersion, typed: Mapping[str, str] | None = None, errors: Mapping[str, str] | None = None
) -> CopyView:
    may_follow = row.spec_key not in library.standards()
    return CopyView(
        f"A copy of {row.title}", row, may_follow, typed or {"becomes": "next", "edition": FIRST_EDITION}, errors or {}
    )
