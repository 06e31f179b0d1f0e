"""Bins of an outlet that several runs fill: opened, used by runs, weighed and so shared out."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import runs as run_actions
from shedgrade.actions import shared_bins as actions
from shedgrade.actions.shared_bins import BinWeight
from shedgrade.domain import entry
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.run.events import SharedBinUsed
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.units import G_PER_KG, digits, say_mass
from shedgrade.reports.shared_bins import BinShare, outlet_names, shares_of
from shedgrade.storage import runs, shared_bins
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SharedBinRow
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import LARGEST, RowId, row_id
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.run_page import is_open
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.stored_now import stored_now
from shedgrade.web.whoami import LineRunner, ShedPerson

router = APIRouter(prefix="/shared-bins")

_HEAVIEST_G = 5_000 * G_PER_KG
_MOST_WEIGHED = 20
_RULES = {Rule.NET.value: Rule.NET, Rule.BINS.value: Rule.BINS}


@dataclass(frozen=True, slots=True)
class BinsView:
    """The bins not weighed yet, those weighed last, and the form that opens one. ``run_id`` is the run that the page
    was reached from, 0 if it was not from one."""

    title: str
    answer: str
    open: tuple[SharedBinRow, ...]
    weighed: tuple[SharedBinRow, ...]
    names: Mapping[str, str]
    outlets: tuple[tuple[str, str], ...]
    may_run: bool
    run_id: int
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BinView:
    """One bin: which runs filled it, what falls to each, and the forms."""

    title: str
    answer: str
    row: SharedBinRow
    rule: str
    shares: tuple[BinShare, ...]
    runs: tuple[tuple[str, str], ...]
    may_run: bool
    version: int
    typed: Mapping[str, str]
    errors: Mapping[str, str]
    notice: str = ""


@router.get("")
def listed(
    request: Request,
    person: ShedPerson,
    session: ReadSession,
    run: Annotated[int, Query(ge=0, le=LARGEST)] = 0,
) -> HTMLResponse:
    """The bins, and the form that opens one."""
    return page(request, "shared_bins/list.html", _list_view(session, person, run))


@router.post("", openapi_extra=publishes("outlet", "label", "rule", "run"))
def begin(
    request: Request, person: LineRunner, session: FormSession, posted: CurrentPosted, shed: CurrentShed
) -> Response:
    """Open a bin."""
    run_id = row_id(posted.get("run", ""))
    view = _list_view(session, person, run_id)
    answers = Answers(posted)
    outlet = answers.choice("outlet", {key: key for key, _ in view.outlets})
    label = answers.text("label", needed=False, longest=40)
    rule = answers.choice("rule", _RULES)
    if outlet is None or rule is None or not answers.fine:
        return page(request, "shared_bins/list.html", replace(view, typed=posted, errors=answers.errors), status=422)
    row = actions.open_shared_bin(session, outlet, label, rule, person.id, shed.clock.now())
    return done(request, session, person, posted, f"/shared-bins/{row.id}")


@router.get("/{shared_bin_id}")
def shown(request: Request, person: ShedPerson, session: ReadSession, shared_bin_id: RowId) -> HTMLResponse:
    """One bin."""
    return page(
        request, "shared_bins/page.html", _bin_view(session, person, shared_bins.shared_bin(session, shared_bin_id))
    )


@router.post("/{shared_bin_id}/runs", openapi_extra=publishes("of-run"))
def use(
    request: Request,
    person: LineRunner,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    shared_bin_id: RowId,
) -> Response:
    """Fruit of a run went into the bin."""
    row = shared_bins.shared_bin(session, shared_bin_id)
    answers = Answers(posted)
    view = _bin_view(session, person, row)
    run_id = answers.choice("of-run", {key: int(key) for key, _ in view.runs})
    if run_id is not None:
        run = runs.run_for(session, person, run_id, lock=True)
        try:
            run_actions.record(session, run, SharedBinUsed(shed.clock.now(), shared_bin_id), person.id)
            return done(request, session, person, posted, f"/shared-bins/{shared_bin_id}")
        except RefusedError as no:
            answers.refuse("of-run", str(no))
    return page(request, "shared_bins/page.html", replace(view, typed=posted, errors=answers.errors), status=422)


@router.post("/{shared_bin_id}/weight", openapi_extra=publishes("gross", "tare", "version"))
def weigh(
    request: Request,
    person: LineRunner,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    shared_bin_id: RowId,
) -> Response:
    """Weigh the bin: from then on each run has its share of it."""
    row = shared_bins.shared_bin(session, shared_bin_id)
    answers = Answers(posted)
    gross = answers.read("gross", lambda text: entry.mass(text, most_g=_HEAVIEST_G))
    tare = answers.read("tare", lambda text: entry.mass(text, most_g=_HEAVIEST_G))
    notice, status = "", 422
    version = answers.version()
    if gross is not None and tare is not None:
        try:
            actions.weigh_shared_bin(session, row, BinWeight(gross, tare), version, person.id, shed.clock.now())
            return done(request, session, person, posted, f"/shared-bins/{shared_bin_id}")
        except RefusedError as no:
            answers.refuse("gross", str(no))
        except StaleError:
            notice, status, version = (
                stored_now(request, session, "shared bin", shared_bin_id, _net(row)),
                409,
                row.version,
            )
    view = _bin_view(session, person, row)
    view = replace(view, typed=posted, errors=answers.errors, notice=notice, version=version)
    return page(request, "shared_bins/page.html", view, status=status)


def _list_view(session: Session, person: Person, run_id: int) -> BinsView:
    still = tuple(shared_bins.open_shared_bins(session))
    names = outlet_names(session, person)
    number = "No bin is" if not still else "1 bin is" if len(still) == 1 else f"{len(still)} bins are"
    return BinsView(
        title="Shared bins",
        answer=f"{number} being filled",
        open=still,
        weighed=tuple(shared_bins.weighed_shared_bins(session, _MOST_WEIGHED)),
        names=names,
        outlets=tuple(names.items()),
        may_run=person.may(Deed.RUN_LINE),
        run_id=run_id,
        typed={"rule": Rule.NET.value},
    )


def _bin_view(session: Session, person: Person, row: SharedBinRow) -> BinView:
    shares = shares_of(session, person, row)
    filling = {each.run_id for each in shares}
    open_runs = [
        runs.run_for(session, person, head.row.id or 0) for head in runs.runs_for(session, person, open_only=True)
    ]
    choices = tuple(
        (str(run.id), " and ".join(load.name for load in run.state.loads))
        for run in open_runs
        if is_open(run) and row.outlet_id in run.state.started.outlets and run.id not in filling
    )
    name = outlet_names(session, person).get(row.outlet_id, row.outlet_id)
    title = f"{name} bin {row.label or row.id}"
    count = "1 run" if len(shares) == 1 else f"{digits(len(shares))} runs"
    weighed = "is not weighed yet" if row.gross_g is None else f"holds {_net(row)}"
    typed = {}
    if row.gross_g is not None:
        typed = {"gross": _typed(row.gross_g), "tare": _typed(row.tare_g or 0)}
    return BinView(
        title,
        f"{title} {weighed}, filled by {count}",
        row,
        Rule(row.rule).words,
        shares,
        choices,
        person.may(Deed.RUN_LINE),
        row.version,
        typed,
        {},
    )


def _net(row: SharedBinRow) -> str:
    return "" if row.gross_g is None else say_mass(row.gross_g - (row.tare_g or 0), 1, trim=True)


def _typed(grams: int) -> str:
    return f"{grams / G_PER_KG:g}"
