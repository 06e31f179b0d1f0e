"""Trying a draft: on a fruit typed here, and on the fruit of a stored sample."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from shedgrade.domain.people import Deed
from shedgrade.domain.units import digits, say_money
from shedgrade.reports.what_if import SampleWhatIf, sample_under, samples_of_crop
from shedgrade.storage import markets, spec_drafts
from shedgrade.storage.markets import TrayOfShed
from shedgrade.storage.missing import MissingError
from shedgrade.storage.samples import SampleWhole, sample_for
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.web.draft_doubts import DoubtLine, doubt_lines
from shedgrade.web.ids import LARGEST, RowId
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.trial_form import TrialView, tried
from shedgrade.web.whoami import DraftReader

router = APIRouter(prefix="/drafts/{draft_id}/trial")

_PAGE = 20
_MOST_TOLD = 40


@dataclass(frozen=True, slots=True)
class TryingView:
    """The form for a typed fruit, and the samples that can be tried; ``earlier`` is the address of those before."""

    title: str
    draft: DraftWhole
    trial: TrialView
    samples: list[SampleWhole]
    earlier: str
    doubts: list[DoubtLine]


@dataclass(frozen=True, slots=True)
class MovedLine:
    """A fruit that changes its class."""

    number: int
    before: str
    after: str
    why: str


@dataclass(frozen=True, slots=True)
class WhatIfView:
    """A sample under both specs: ``rows`` count its fruit by class before (a row) and after (a column)."""

    title: str
    answer: str
    draft: DraftWhole
    found: SampleWhatIf
    before_classes: list[str]
    after_classes: list[str]
    worth: str
    moved: list[MovedLine]
    more: int


@router.get("")
def on_a_fruit(
    request: Request,
    person: DraftReader,
    session: ReadSession,
    draft_id: RowId,
    skip: Annotated[int, Query(ge=0, le=LARGEST)] = 0,
) -> HTMLResponse:
    """The form for one fruit with what the draft says of it, and the samples to try it on."""
    found = spec_drafts.draft(session, draft_id)
    trays = {each.row.name: each.tray for each in reversed(markets.tray_types(session)) if _of(each, found)}
    trial = tried(found.spec, request.query_params, [trays[name] for name in sorted(trays)])
    listed = samples_of_crop(session, found.row.crop_id, most=_PAGE + 1, skip=skip)
    earlier = f"{request.url.path}?skip={skip + _PAGE}" if len(listed) > _PAGE else ""
    view = TryingView(f"Try {found.row.title}", found, trial, list(listed[:_PAGE]), earlier, doubt_lines(found, person))
    return page(request, "drafts/trial.html", view, status=422 if trial.errors else 200)


@router.get("/samples/{sample_id}")
def on_a_sample(
    request: Request, person: DraftReader, session: ReadSession, shed: CurrentShed, draft_id: RowId, sample_id: RowId
) -> HTMLResponse:
    """What the draft would make of a sample's fruit."""
    draft, sample = spec_drafts.draft(session, draft_id), sample_for(session, person, sample_id)
    if sample.block.crop_id != draft.row.crop_id:
        raise MissingError
    prices_on = shed.clock.today() if person.may(Deed.SEE_MARKETS) else None
    found = sample_under(session, sample, draft.spec, prices_on)
    return page(request, "drafts/what_if.html", _view(draft, found))


def _of(tray: TrayOfShed, draft: DraftWhole) -> bool:
    return tray.row.crop_id == draft.row.crop_id


def _view(draft: DraftWhole, found: SampleWhatIf) -> WhatIfView:
    moves = found.moves
    names = [{each.id: each.name for each in spec.classes} for spec in (moves.before, moves.after)]
    lines = [
        MovedLine(
            found.numbers[each.place],
            names[0].get(each.before.class_id or "", "No class"),
            names[1].get(each.after.class_id or "", "No class"),
            each.why,
        )
        for each in moves.moved
    ]
    return WhatIfView(
        title=f"{found.sample.consignment_name} under {draft.row.title}",
        answer=_answer(found),
        draft=draft,
        found=found,
        before_classes=[*names[0].values(), "No class"],
        after_classes=[*names[1].values(), "No class"],
        worth=_worth(found),
        moved=lines[:_MOST_TOLD],
        more=len(lines) - len(lines[:_MOST_TOLD]),
    )


def _answer(found: SampleWhatIf) -> str:
    moves = found.moves
    of = f"{digits(len(moves.moved))} of {digits(moves.fruit)} fruit"
    if not moves.fruit:
        return "No fruit of this sample counts"
    if not moves.moved:
        return f"None of {digits(moves.fruit)} fruit would change class"
    return f"{of} would change class: {digits(moves.better)} better, {digits(moves.worse)} worse"


def _worth(found: SampleWhatIf) -> str:
    worth = found.moves.worth
    if worth is None or not worth.priced:
        return ""
    after, before, change = (say_money(each, found.currency) for each in (worth.after, worth.before, worth.gained))
    base = f"{digits(worth.priced)} of the {digits(worth.fruit)} fruit have a price under both"
    return (
        f"At the market’s prices these fruit would be worth {after} instead of {before}, a change of {change}; {base}."
    )
