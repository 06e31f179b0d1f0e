"""Growers: list, add, edit."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions import growers as actions
from shedgrade.domain.people import Deed
from shedgrade.storage import growers
from shedgrade.storage.growers import BlockOfGrower
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Grower
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.stored_now import differing, stored_now
from shedgrade.web.whoami import GrowerKeeper, ShedPerson

router = APIRouter(prefix="/growers")


@dataclass(frozen=True, slots=True)
class GrowersView:
    """Every grower with their blocks."""

    title: str
    growers: list[tuple[Grower, list[BlockOfGrower]]]
    may_keep: bool


@dataclass(frozen=True, slots=True)
class GrowerFormView:
    """The form for one grower: what was typed, what is wrong, and what is stored now if somebody else saved."""

    title: str
    action: str
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    version: int = 1
    stored_now: str = ""
    differs: Mapping[str, str] = field(default_factory=dict)


@router.get("")
def listed(request: Request, person: ShedPerson, session: ReadSession) -> HTMLResponse:
    """All growers and their blocks."""
    blocks = growers.blocks_for(session, person)
    by_grower = [
        (grower, [block for block in blocks if block.grower.id == grower.id])
        for grower in growers.growers_for(session, person)
    ]
    return page(request, "growers/list.html", GrowersView("Growers", by_grower, person.may(Deed.KEEP_GROWERS)))


@router.get("/new")
def new(request: Request, _person: GrowerKeeper) -> HTMLResponse:
    """An empty form."""
    return page(request, "growers/form.html", GrowerFormView("A new grower", "/growers"))


@router.post("", openapi_extra=publishes("name", "contact", "version"))
def add(request: Request, person: GrowerKeeper, session: FormSession, posted: CurrentPosted) -> Response:
    """Take a grower into the books."""
    answers = Answers(posted)
    name, contact = answers.text("name", longest=80), answers.text("contact", needed=False)
    if answers.fine:
        try:
            actions.add_grower(session, name, contact)
            return done(request, session, person, posted, "/growers?done=grower")
        except actions.NameTakenError as taken:
            answers.refuse("name", str(taken))
    view = GrowerFormView("A new grower", "/growers", posted, answers.errors)
    return page(request, "growers/form.html", view, status=422)


@router.get("/{grower_id}")
def edit(request: Request, person: GrowerKeeper, session: ReadSession, grower_id: RowId) -> HTMLResponse:
    """A grower's form as it is stored."""
    grower = growers.grower_for(session, person, grower_id)
    view = GrowerFormView(grower.name, f"/growers/{grower_id}", _typed(grower), version=grower.version)
    return page(request, "growers/form.html", view)


@router.post("/{grower_id}", openapi_extra=publishes("name", "contact", "version"))
def change(
    request: Request, person: GrowerKeeper, session: FormSession, posted: CurrentPosted, grower_id: RowId
) -> Response:
    """Save a grower's name and contact."""
    grower = growers.grower_for(session, person, grower_id)
    answers = Answers(posted)
    name, contact = answers.text("name", longest=80), answers.text("contact", needed=False)
    now_stored, status = "", 422
    if answers.fine:
        try:
            actions.change_grower(session, grower, name, contact, answers.version())
            return done(request, session, person, posted, "/growers?done=grower")
        except actions.NameTakenError as taken:
            answers.refuse("name", str(taken))
        except StaleError:
            facts = f"{grower.name}, {grower.contact or 'no contact'}"
            now_stored, status = stored_now(request, session, "grower", grower_id, facts), 409
    version = grower.version if now_stored else answers.version()
    differs = differing(posted, _typed(grower)) if now_stored else {}
    view = GrowerFormView(grower.name, f"/growers/{grower_id}", posted, answers.errors, version, now_stored, differs)
    return page(request, "growers/form.html", view, status=status)


def _typed(grower: Grower) -> dict[str, str]:
    return {"name": grower.name, "contact": grower.contact}
