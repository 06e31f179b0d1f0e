"""Runs: the list, starting one, and the two pages of one."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import runs as actions
from shedgrade.actions.runs import StartFacts
from shedgrade.domain import entry
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.run.events import Break, Kind
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.trays.breaks import Packing, at_net_over_count
from shedgrade.domain.trays.fill_rule import never_short
from shedgrade.storage import intake, markets, runs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.markets import MarketWhole
from shedgrade.storage.runs import RunHead
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId, row_id
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.posted import Posted
from shedgrade.web.run_page import KINDS, line_page, run_page
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import LineRunner, ShedPerson

router = APIRouter(prefix="/runs")

_LIST_DAYS = timedelta(days=28)
_OTHERS_DAYS = timedelta(days=14)
_MOST_PARTS = 1_000
_OWN_BREAKS, _NO_BREAKS = "net", "none"


@dataclass(frozen=True, slots=True)
class RunLine:
    """A run on the list."""

    head: RunHead
    words: str
    state: tuple[str, str]


@dataclass(frozen=True, slots=True)
class RunsView:
    """The runs of the last weeks, the open ones first."""

    title: str
    answer: str
    open: tuple[RunLine, ...]
    over: tuple[RunLine, ...]
    may_run: bool


@dataclass(frozen=True, slots=True)
class StartView:
    """The form that starts a run: of one consignment, others of the same market to be chosen beside it."""

    title: str
    whole: ConsignmentWhole | None
    choices: tuple[tuple[str, str], ...]
    others: tuple[tuple[str, str], ...]
    trays: tuple[tuple[str, str], ...]
    chosen: Mapping[str, tuple[str, ...]]
    typed: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)


@router.get("")
def listed(request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed) -> HTMLResponse:
    """The runs of the last four weeks, and whatever older one is still open."""
    recent = runs.runs_for(session, person, since=shed.clock.now() - _LIST_DAYS)
    known = {head.row.id for head in recent}
    still = [head for head in runs.runs_for(session, person, open_only=True) if head.row.id not in known]
    lines = [_run_line(head) for head in (*still, *recent)]
    is_open = [line.head.row.finished_at is None and line.head.row.voided_at is None for line in lines]
    now = tuple(line for line, is_now in zip(lines, is_open, strict=True) if is_now)
    over = tuple(line for line, is_now in zip(lines, is_open, strict=True) if not is_now)
    said = "No run is open" if not now else "1 run is open" if len(now) == 1 else f"{len(now)} runs are open"
    return page(request, "runs/list.html", RunsView("Runs", said, now, over, person.may(Deed.RUN_LINE)))


@router.get("/new")
def ask(
    request: Request,
    person: LineRunner,
    session: ReadSession,
    shed: CurrentShed,
    consignment: Annotated[str, Query()] = "",
) -> HTMLResponse:
    """The form that starts a run of a consignment; without one, which it is to be."""
    whole = intake.consignment_for(session, person, row_id(consignment)) if consignment else None
    if whole is not None:
        must_stand(whole)
    typed = {"kind": Kind.PACKING.value, "rule": Rule.NET.value, "breaks": _OWN_BREAKS}
    view = _start_view(session, person, shed, whole, Posted(tuple(typed.items())))
    return page(request, "runs/new.html", view)


@router.post("", openapi_extra=publishes("consignment", "kind", "rule", "breaks", "parts-*", many=("other", "tray")))
def start(
    request: Request, person: LineRunner, session: FormSession, posted: CurrentPosted, shed: CurrentShed
) -> Response:
    """Start a run."""
    whole = intake.consignment_for(session, person, row_id(posted.get("consignment", "")))
    must_stand(whole)
    answers = Answers(posted)
    market = markets.market(session, whole.consignment.market_id)
    facts = _facts(answers, posted, whole, market)
    if facts is not None:
        try:
            row = actions.start(session, facts, person, shed.clock.now())
            return done(request, session, person, posted, f"/runs/{row.id}")
        except RefusedError as no:
            answers.refuse("other" if len(facts.loads) > 1 else "kind", str(no))
    view = _start_view(session, person, shed, whole, posted, answers.errors)
    return page(request, "runs/new.html", view, status=422)


@router.get("/{run_id}")
def shown(request: Request, person: ShedPerson, session: ReadSession, run_id: RowId) -> HTMLResponse:
    """The working page of a run."""
    return run_page(request, session, person, runs.run_for(session, person, run_id))


@router.get("/{run_id}/line")
def line(request: Request, person: ShedPerson, session: ReadSession, run_id: RowId) -> HTMLResponse:
    """What happens seldom in a run, and all its entries."""
    return line_page(request, session, person, runs.run_for(session, person, run_id))


def _run_line(head: RunHead) -> RunLine:
    row = head.row
    state = ("stop", "voided") if row.voided_at else ("good", "finished") if row.finished_at else ("open", "open")
    return RunLine(head, f"{KINDS[Kind(row.kind)]} {' and '.join(head.loads)}", state)


def _start_view(
    session: Session,
    person: Person,
    shed: CurrentShed,
    whole: ConsignmentWhole | None,
    posted: Posted,
    errors: Mapping[str, str] | None = None,
) -> StartView:
    wholes = intake.consignments_for(session, person, since=shed.clock.now() - _OTHERS_DAYS)
    standing = [each for each in wholes if not each.voided]
    words = {each.id: f"{each.name}, {each.grower.name}, {each.block.name}" for each in standing}
    others: tuple[tuple[str, str], ...] = ()
    trays: tuple[tuple[str, str], ...] = ()
    if whole is not None:
        market_id = whole.consignment.market_id
        alike = [each for each in standing if each.consignment.market_id == market_id and each.id != whole.id]
        others = tuple((str(each.id), words[each.id]) for each in alike)
        trays = tuple((str(tray_id), tray.name) for tray_id, tray in markets.market(session, market_id).trays)
    chosen = {"other": posted.every("other"), "tray": posted.every("tray")}
    if whole is not None and not errors:
        chosen["tray"] = chosen["tray"] or tuple(key for key, _ in trays[:1])
    choices = tuple((str(each.id), words[each.id]) for each in standing)
    title = "Start a run" if whole is None else f"Start a run of {whole.name}"
    return StartView(title, whole, choices, others, trays, chosen, posted, errors or {})


def _facts(answers: Answers, posted: Posted, whole: ConsignmentWhole, market: MarketWhole) -> StartFacts | None:
    kind = answers.choice("kind", {each.value: each for each in Kind})
    rule = answers.choice("rule", {each.value: each for each in Rule}, needed=False) or Rule.NET
    with_breaks = answers.choice("breaks", {_OWN_BREAKS: True, _NO_BREAKS: False})
    trays = {str(tray_id): tray for tray_id, tray in market.trays}
    chosen = [key for key in dict.fromkeys(posted.every("tray")) if key in trays]
    ids = [whole.id, *(row_id(each) for each in dict.fromkeys(posted.every("other")))]
    loads = tuple((each, _parts(answers, each) if rule is Rule.PARTS and len(ids) > 1 else 0) for each in ids)
    if kind is not Kind.SIZING and not chosen:
        answers.refuse("tray", "Choose at least one tray type to pack into.")
    if not answers.fine or kind is None:
        return None
    if len(ids) == 1:
        rule = Rule.NET
    breaks = tuple(
        Break(int(key), count, edge)
        for key in (chosen if with_breaks else ())
        for count, edge in _edges(Packing.of(trays[key], never_short()))
    )
    return StartFacts(kind, loads, whole.consignment.spec_version_id, tuple(map(int, chosen)), breaks, rule)


def _parts(answers: Answers, load_id: int) -> int:
    """Which part of the run is declared to be its own: 3 and 1 are three quarters and a quarter."""
    return answers.read(f"parts-{load_id}", lambda text: entry.whole(text, least=1, most=_MOST_PARTS)) or 0


def _edges(packing: Packing) -> tuple[tuple[int, int], ...]:
    breaks = at_net_over_count(packing)
    return tuple(zip(breaks.counts, breaks.edges_dg, strict=True))
