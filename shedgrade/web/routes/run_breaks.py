"""The breaks of a run: those in force, the best ones for its fruit, and new ones on trial until they are decided on."""

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import runs as actions
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.run.events import BreaksChanged
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.trial import TRIAL_TRAYS, Followed, Promise, Trial, begun, gone_back, kept, trial_of
from shedgrade.domain.trays.breaks import Breaks, Packing, at_net_over_count, top_edge_dg
from shedgrade.domain.trays.giveaway_range import sampled_giveaway
from shedgrade.domain.units import BP, round_half_up
from shedgrade.reports.size_breaks import BreaksReport
from shedgrade.storage import markets, run_trials, runs, specs
from shedgrade.storage.runs import RunWhole
from shedgrade.web import run_breaks_view as view
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.run_breaks_view import RunBreaksView, TrialView, UseBreaks
from shedgrade.web.size_breaks_asking import Asking, Found, asked_of, prices_for
from shedgrade.web.size_breaks_form import DEFAULTS, Asked
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession, Shed
from shedgrade.web.whoami import LineRunner, ShedPerson

router = APIRouter(prefix="/runs/{run_id}/breaks")

_FIELDS = ("tray", "class", *(name for name in DEFAULTS))
_AGAIN = 60
_EDGE = re.compile(r"\d{1,6}", re.ASCII)
_NO_TRAY = "This run packs no trays: it has no breaks between counts."
_NOT_THERE = "The breaks to use did not arrive. Work them out again, then press Use these breaks."
_MOVED_ON = "The breaks were changed meanwhile, or the trial is over. This is how it stands now."


@router.get("")
def shown(request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed, run_id: RowId) -> HTMLResponse:
    """The breaks in force, the trial if one is on, and the best breaks for the fruit of the run."""
    run = runs.run_for(session, person, run_id)
    return _page(request, session, person, shed, run, request.query_params)


@router.post("/trial", openapi_extra=publishes(*_FIELDS, "edges"))
def use(
    request: Request, person: LineRunner, session: FormSession, shed: CurrentShed, posted: CurrentPosted, run_id: RowId
) -> Response:
    """Put the breaks on the page on trial."""
    run = runs.run_for(session, person, run_id, lock=True)
    found = asked_of(session, _asking(session, person, shed, run), posted)
    edges = _edges(posted.get("edges", ""))
    if found.asked is None or edges is None or len(edges) != len(found.asked.packing.counts):
        return _page(request, session, person, shed, run, posted, refused=_NOT_THERE)
    try:
        actions.record(session, run, _begun(run, shed, found, found.asked, edges), person.id)
    except (RefusedError, ValueError) as mistake:
        return _page(request, session, person, shed, run, posted, refused=str(mistake))
    return done(request, session, person, posted, f"/runs/{run_id}/breaks?done=breaks")


@router.post("/decision", openapi_extra=publishes("decision", "stretch"))
def decide(
    request: Request, person: LineRunner, session: FormSession, shed: CurrentShed, posted: CurrentPosted, run_id: RowId
) -> Response:
    """Keep the breaks on trial, or go back to those before."""
    run = runs.run_for(session, person, run_id, lock=True)
    trial = trial_of(run.state)
    decision = posted.get("decision", "")
    if trial is None or posted.get("stretch", "") != str(trial.stretch) or decision not in ("keep", "back"):
        return _page(request, session, person, shed, run, {}, refused=_MOVED_ON)
    followed = _followed(session, run, trial)
    now = shed.clock.now()
    event = kept(run.state, now, followed) if decision == "keep" else gone_back(trial, now, followed)
    try:
        actions.record(session, run, event, person.id)
    except RefusedError as mistake:
        return _page(request, session, person, shed, run, {}, refused=str(mistake))
    return done(request, session, person, posted, f"/runs/{run_id}/breaks?done=decision")


def _page(
    request: Request,
    session: Session,
    person: Person,
    shed: Shed,
    run: RunWhole,
    query: Mapping[str, str],
    *,
    refused: str = "",
) -> HTMLResponse:
    found = asked_of(session, _asking(session, person, shed, run), query)
    trial = _trial(session, run)
    is_open = run.state.finished_at is None and run.voided is None and person.may(Deed.RUN_LINE)
    shown = RunBreaksView(
        title=f"Size breaks of run {run.id}",
        run=run,
        answer=view.answer_of(run, trial),
        trays=view.tray_breaks(run.state),
        changes=view.changes(run.state),
        trial=trial,
        part=replace(found.part, action=f"/runs/{run.id}/breaks"),
        use=_use(run, found) if is_open else None,
        open=is_open,
        refused=refused,
    )
    return page(request, "runs/breaks.html", shown, status=422 if shown.errors or refused else 200)


def _asking(session: Session, person: Person, shed: Shed, run: RunWhole) -> Asking:
    trays = {str(each.id): markets.tray_type(session, each.id) for each in run.state.started.trays}
    in_force = {key: view.breaks_in_force(run.state, tray) for key, tray in trays.items()}
    return Asking(
        action=f"/runs/{run.id}/breaks",
        loads=run.loads,
        spec=specs.spec_of(session, run.row.spec_version_id),
        trays=trays,
        prices=prices_for(session, person, shed.clock, run.loads),
        day=shed.clock.today(),
        in_force={key: breaks for key, breaks in in_force.items() if breaks is not None},
        no_tray=_NO_TRAY,
    )


def _trial(session: Session, run: RunWhole) -> TrialView | None:
    trial = trial_of(run.state)
    return None if trial is None else view.trial_view(run.state, trial, _followed(session, run, trial))


def _followed(session: Session, run: RunWhole, trial: Trial) -> Followed:
    tray = run.state.tray(trial.tray_id)
    nets = run_trials.first_weighed(session, run.id, trial.stretch, trial.tray_id, TRIAL_TRAYS)
    return Followed(0 if tray is None else tray.label_g, nets)


def _use(run: RunWhole, found: Found) -> UseBreaks | None:
    """The best breaks to use; None where none were found, or they are those in force."""
    if found.asked is None or found.report is None:
        return None
    best, tray_id = found.report.best.breaks, int(found.asked.tray.id)
    edges = _beyond_the_sample(found.asked.packing, found.report)
    mine = view.breaks_of(tray_id, best.counts, edges, best.top_dg)
    held = {each for each in run.state.stretch.breaks if each.tray_id == tray_id}
    if set(mine) == held:
        return None
    fields = {name: found.part.typed.get(name, "") for name in _FIELDS}
    return UseBreaks(fields | {"edges": view.as_typed(edges)}, view.said(edges))


def _beyond_the_sample(packing: Packing, report: BreaksReport) -> tuple[int, ...]:
    """The best edges, with a count that no fruit of the sample reaches at net weight over count: the load may well hold
    such fruit, and their trays must not be short."""
    edges: list[int] = []
    safe = at_net_over_count(packing).edges_dg
    for given, plain_dg in zip(report.best.sampled.found.counts, safe, strict=True):
        edge = given.low_dg if given.trays else max(given.low_dg, plain_dg)
        edges.append(min([edge, *edges[-1:]]))
    return tuple(edges)


def _begun(run: RunWhole, shed: Shed, found: Found, asked: Asked, edges: tuple[int, ...]) -> BreaksChanged:
    tray_id = int(asked.tray.id)
    counts = tuple(pack.count for pack in asked.packing.counts)
    # The scale is read at packing, so that the promise is of trays at packing, too: before anything has dried.
    packing = replace(asked.packing, drying=Fraction(0))
    breaks = Breaks(counts, edges, top_edge_dg(packing))
    sampled = sampled_giveaway(found.draws, packing, breaks, None, _AGAIN)
    over, short = sampled.found.giveaway_g, sampled.estimate(lambda each: each.short, share=True)
    if over is None or short is None:
        raise RefusedError("No tray can be filled by these breaks with the fruit that were looked at.")
    within = None if short.low is None or short.high is None else (_bp(short.low), _bp(short.high))
    promise = Promise(round_half_up(Fraction(over)), _bp(short.value), within)
    mine = view.breaks_of(tray_id, counts, edges, breaks.top_dg)
    return begun(run.state, shed.clock.now(), tray_id, mine, promise)


def _edges(text: str) -> tuple[int, ...] | None:
    """Edges as the form carries them; None for what no form of ours holds."""
    words = text.split()
    if not words or not all(_EDGE.fullmatch(word) for word in words):
        return None
    return tuple(map(int, words))


def _bp(share: Fraction) -> int:
    return round_half_up(share * BP)
