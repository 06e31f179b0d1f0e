"""Histories: every change of a record in a sentence. Who may see the record may read how it came to be so."""

from collections.abc import Collection, Sequence
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.storage import growers, histories, intake, markets, people, quotes, spec_drafts, specs
from shedgrade.storage.history import Told, changes_in, changes_of
from shedgrade.storage.measured import measured
from shedgrade.storage.samples import sample_for
from shedgrade.web.history_view import About, Read, history_view
from shedgrade.web.ids import LARGEST, RowId
from shedgrade.web.pages import page
from shedgrade.web.state import ReadSession, the_shed
from shedgrade.web.whoami import (
    CurrentPerson,
    DraftReader,
    MarketReader,
    PeopleKeeper,
    Quoter,
    SettingKeeper,
    ShedPerson,
)

router = APIRouter()

Skip = Annotated[int, Query(ge=0, le=LARGEST)]


@router.get("/growers/{grower_id}/history")
def of_grower(
    request: Request, person: CurrentPerson, session: ReadSession, grower_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """A grower's name and contact."""
    grower = growers.grower_for(session, person, grower_id)
    keeps = person.may(Deed.KEEP_GROWERS)
    back = (f"/growers/{grower_id}", grower.name) if keeps else _list_of_blocks(person)
    return _page(request, session, person, About(grower.name, *back), _of(session, [("grower", grower_id)]), skip)


@router.get("/blocks/{block_id}/history")
def of_block(
    request: Request, person: CurrentPerson, session: ReadSession, block_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """A block's name, fruit and area."""
    block = growers.block_for(session, person, block_id).block
    about = About(f"block {block.name}", f"/blocks/{block_id}", block.name)
    return _page(request, session, person, about, _of(session, [("block", block_id)]), skip)


@router.get("/consignments/{consignment_id}/history")
def of_consignment(
    request: Request, person: CurrentPerson, session: ReadSession, consignment_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """How a consignment was received and sampled."""
    whole = intake.consignment_for(session, person, consignment_id)
    about = About(f"consignment {whole.name}", f"/consignments/{consignment_id}", f"Consignment {whole.name}")
    runs = _measured(request, session, histories.samples_of(session, consignment_id))
    return _page(request, session, person, about, _of(session, histories.of_consignment(session, whole), runs), skip)


@router.get("/samples/{sample_id}/history")
def of_sample(
    request: Request, person: CurrentPerson, session: ReadSession, sample_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """How a sample was started, who measured its fruit, and which were voided."""
    sample = sample_for(session, person, sample_id)
    about = About(f"a sample of {sample.consignment_name}", f"/samples/{sample_id}", "The sample", one_sample=True)
    runs = _measured(request, session, [sample_id])
    return _page(request, session, person, about, _of(session, histories.of_sample(session, sample_id), runs), skip)


@router.get("/markets/{market_id}/history")
def of_market(
    request: Request, person: MarketReader, session: ReadSession, market_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """A market and its prices."""
    name = markets.market(session, market_id).market.name
    about = About(name, f"/markets/{market_id}", name)
    return _page(request, session, person, about, _of(session, histories.of_market(session, market_id)), skip)


@router.get("/specs/{spec_version_id}/history")
def of_spec(
    request: Request, person: ShedPerson, session: ReadSession, spec_version_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """How a spec version was published, retired, put back, and which of its values were confirmed."""
    row = specs.version(session, spec_version_id)
    about = About(f"{row.title}, version {row.version}", f"/specs/{spec_version_id}", row.title)
    return _page(request, session, person, about, _of(session, [("spec", spec_version_id)]), skip)


@router.get("/drafts/{draft_id}/history")
def of_draft(
    request: Request, person: DraftReader, session: ReadSession, draft_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """How a draft was begun and changed."""
    title = spec_drafts.draft(session, draft_id).row.title
    about = About(f"the draft {title}", f"/drafts/{draft_id}", title)
    return _page(request, session, person, about, _of(session, [("spec draft", draft_id)]), skip)


@router.get("/quotes/{quote_id}/history")
def of_quote(request: Request, person: Quoter, session: ReadSession, quote_id: RowId, skip: Skip = 0) -> HTMLResponse:
    """How a quote was made, and withdrawn."""
    number = quotes.quote(session, quote_id).number
    about = About(f"quote {number}", f"/quotes/{quote_id}", f"Quote {number}")
    return _page(request, session, person, about, _of(session, [("quote", quote_id)]), skip)


@router.get("/people/{person_id}/history")
def of_person(
    request: Request, person: PeopleKeeper, session: ReadSession, person_id: RowId, skip: Skip = 0
) -> HTMLResponse:
    """Somebody's name, roles, passwords and PINs, and who ended their sign-ins."""
    name = people.person_whole(session, person_id).row.name
    about = About(name, f"/people/{person_id}", name)
    return _page(request, session, person, about, _of(session, histories.of_person(person_id)), skip)


@router.get("/settings/history")
def of_shed(request: Request, person: SettingKeeper, session: ReadSession, skip: Skip = 0) -> HTMLResponse:
    """The shed's rules and tablets."""
    about = About("the shed’s rules and tablets", "/settings", "Settings")
    return _page(request, session, person, about, _in(session, histories.OF_THE_SHED), skip)


@router.get("/bins/history")
def of_bins(request: Request, person: ShedPerson, session: ReadSession, skip: Skip = 0) -> HTMLResponse:
    """The bin types and what their empties weighed."""
    about = About("bins and their tares", "/bins", "Bins")
    return _page(request, session, person, about, _in(session, histories.OF_BINS), skip)


@router.get("/trays/history")
def of_trays(request: Request, person: MarketReader, session: ReadSession, skip: Skip = 0) -> HTMLResponse:
    """The tray types of the shed."""
    about = About("tray types", "/trays", "Tray types")
    return _page(request, session, person, about, _in(session, histories.OF_TRAYS), skip)


@router.get("/specs/history")
def of_specs(request: Request, person: CurrentPerson, session: ReadSession, skip: Skip = 0) -> HTMLResponse:
    """Which specs were published; drafts are the shed's own business."""
    about = About("specs", "/specs", "Specs")
    nouns = histories.OF_SPECS if person.may(Deed.SEE_SHED) else histories.OF_PUBLISHED_SPECS
    return _page(request, session, person, about, _in(session, nouns), skip)


def _of(session: Session, rows: histories.Named, besides: Sequence[Told] = ()) -> Read:
    """The changes of some rows, the newest first, with others that are kept elsewhere in their places between them."""

    def read(most: int, skip: int) -> list[Told]:
        if not besides:
            return changes_of(session, rows, most=most, skip=skip)
        found = [*changes_of(session, rows, most=most + skip), *besides]
        return sorted(found, key=lambda told: told.at, reverse=True)[skip : skip + most]

    return read


def _in(session: Session, nouns: Collection[str]) -> Read:
    return lambda most, skip: changes_in(session, nouns, most=most, skip=skip)


def _measured(request: Request, session: Session, sample_ids: Collection[int]) -> list[Told]:
    return measured(session, sample_ids, the_shed(request).clock.local)


def _list_of_blocks(person: Person) -> tuple[str, str]:
    return ("/growers", "Growers") if person.may(Deed.SEE_SHED) else ("/blocks", "My blocks")


def _page(request: Request, session: Session, person: Person, about: About, changes: Read, skip: int) -> HTMLResponse:
    return page(request, "histories/page.html", history_view(request, session, person, about, changes, skip))
