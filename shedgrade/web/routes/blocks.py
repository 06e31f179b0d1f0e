"""Blocks: a grower's own list, add, edit."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import growers as actions
from shedgrade.actions.growers import BlockFacts
from shedgrade.domain import entry
from shedgrade.domain.names import name_among
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec import library
from shedgrade.domain.units import M2_PER_HA, digits, say_hectares
from shedgrade.storage import growers, specs
from shedgrade.storage.growers import BlockOfGrower
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Block, Grower
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId, row_id
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.stored_now import differing, stored_now
from shedgrade.web.whoami import CurrentPerson, GrowerKeeper

router = APIRouter(prefix="/blocks")

_FIELDS = ("grower", "name", "crop", "variety", "area", "grown_in", "version")


@dataclass(frozen=True, slots=True)
class BlocksView:
    """The blocks a person may see."""

    title: str
    blocks: list[BlockOfGrower]


@dataclass(frozen=True, slots=True)
class BlockFormView:
    """The form for one block: what was typed, what is wrong, and what is stored now if somebody else saved."""

    title: str
    action: str
    grower: Grower
    crops: list[tuple[str, str]]
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    version: int = 1
    stored_now: str = ""
    differs: Mapping[str, str] = field(default_factory=dict)
    areas: tuple[str, ...] = ()

    @property
    def varieties(self) -> list[tuple[str, str]]:
        """The varieties known of every crop, each with its crop; they can be typed, others too."""
        return [(variety, crop.name) for crop in library.crops().values() for variety in crop.varieties]


@router.get("")
def listed(request: Request, person: CurrentPerson, session: ReadSession) -> HTMLResponse:
    """The blocks this person may see: a grower's own, or everybody's."""
    title = "Blocks" if person.may(Deed.SEE_SHED) else "My blocks"
    return page(request, "blocks/list.html", BlocksView(title, growers.blocks_for(session, person)))


@router.get("/new")
def new(request: Request, person: GrowerKeeper, session: ReadSession, grower: str = "") -> HTMLResponse:
    """An empty form for a block of this grower."""
    named = growers.grower_for(session, person, row_id(grower))
    return page(
        request, "blocks/form.html", BlockFormView(_new_title(named), "/blocks", named, _crops(), areas=_areas(session))
    )


@router.post("", openapi_extra=publishes(*_FIELDS))
def add(request: Request, person: GrowerKeeper, session: FormSession, posted: CurrentPosted) -> Response:
    """Take a block into the books."""
    answers = Answers(posted)
    grower = _grower_named(session, person, posted)
    facts = _facts(answers)
    if facts is not None:
        try:
            actions.add_block(session, grower.id or 0, facts)
            return done(request, session, person, posted, "/growers?done=block")
        except actions.NameTakenError as taken:
            answers.refuse("name", str(taken))
    view = BlockFormView(_new_title(grower), "/blocks", grower, _crops(), posted, answers.errors, areas=_areas(session))
    return page(request, "blocks/form.html", view, status=422)


@router.get("/{block_id}/edit")
def edit(request: Request, person: GrowerKeeper, session: ReadSession, block_id: RowId) -> HTMLResponse:
    """A block's form as it is stored."""
    found = growers.block_for(session, person, block_id)
    return page(request, "blocks/form.html", _edit_view(session, found, _typed(found.block), found.block.version))


@router.post("/{block_id}", openapi_extra=publishes(*_FIELDS))
def change(
    request: Request, person: GrowerKeeper, session: FormSession, posted: CurrentPosted, block_id: RowId
) -> Response:
    """Save a block's facts."""
    found = growers.block_for(session, person, block_id)
    answers = Answers(posted)
    facts = _facts(answers)
    now_stored, status = "", 422
    if facts is not None:
        try:
            actions.change_block(session, found.block, facts, answers.version())
            return done(request, session, person, posted, "/growers?done=block")
        except actions.NameTakenError as taken:
            answers.refuse("name", str(taken))
        except StaleError:
            now_stored, status = stored_now(request, session, "block", block_id, _said(found.block)), 409
    version = found.block.version if now_stored else answers.version()
    view = _edit_view(session, found, posted, version, answers.errors, now_stored)
    return page(request, "blocks/form.html", view, status=status)


def _facts(answers: Answers) -> BlockFacts | None:
    name = answers.text("name", longest=80)
    crop = answers.choice("crop", library.crops())
    variety = answers.text("variety", longest=80)
    area = answers.read("area", entry.hectares)
    grown_in = answers.text("grown_in", needed=False, longest=80).lower()
    if not answers.fine or crop is None or area is None:
        return None
    return BlockFacts(name, crop.id, name_among(variety, crop.varieties) or variety, area, grown_in)


def _grower_named(session: FormSession, person: Person, posted: Mapping[str, str]) -> Grower:
    return growers.grower_for(session, person, row_id(posted.get("grower", "")))


def _edit_view(
    session: Session,
    found: BlockOfGrower,
    typed: Mapping[str, str],
    version: int,
    errors: Mapping[str, str] | None = None,
    now_stored: str = "",
) -> BlockFormView:
    title, action = found.block.name, f"/blocks/{found.block.id}"
    differs = differing(typed, _typed(found.block), _said_by_field(found.block)) if now_stored else {}
    view = BlockFormView(title, action, found.grower, _crops(), typed, errors or {}, version, now_stored)
    return replace(view, differs=differs, areas=_areas(session))


def _said(block: Block) -> str:
    said = [block.name, library.crops()[block.crop_id].name, block.variety, say_hectares(block.area_m2)]
    return ", ".join(said + [f"grown in: {block.grown_in}"] * bool(block.grown_in))


def _said_by_field(block: Block) -> dict[str, str]:
    return {"crop": library.crops()[block.crop_id].name, "area": say_hectares(block.area_m2)}


def _typed(block: Block) -> dict[str, str]:
    hectares = digits(Fraction(block.area_m2, M2_PER_HA), 4, trim=True)
    facts = {"name": block.name, "crop": block.crop_id, "variety": block.variety, "area": hectares}
    return facts | {"grown_in": block.grown_in}


def _crops() -> list[tuple[str, str]]:
    return [(crop.id, crop.name) for crop in library.crops().values()]


def _areas(session: Session) -> tuple[str, ...]:
    """The words that the specs in the books know for where fruit grew."""
    return tuple(sorted({word for each in specs.words_asked(session).values() for word in each.grown_in}))


def _new_title(grower: Grower) -> str:
    return f"A new block of {grower.name}"
