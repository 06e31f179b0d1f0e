"""The working page of a run, and its second page for what happens seldom: what both show, whatever form was refused."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.domain.run.due import samples_due
from shedgrade.domain.run.events import Amount, Break, Kind, Left, Place, Way, What
from shedgrade.domain.run.pace import bins_an_hour, done_about
from shedgrade.domain.run.state import RunState
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G, THIN, digits, say_mass
from shedgrade.reports.run_board import note_of, sample_rules
from shedgrade.storage import people
from shedgrade.storage.run_entries import entries
from shedgrade.storage.runs import RunWhole
from shedgrade.storage.specs import spec_of
from shedgrade.web.pages import new_form_key, page
from shedgrade.web.run_cells import TrayGrid, grids
from shedgrade.web.run_words import EntryLine, entry_line, place_words
from shedgrade.web.state import the_shed

_SHOWN = 8
_ALL_SHOWN = 100
LEFT_ROWS = (1, 2, 3)
KINDS = {Kind.PACKING: "Packing", Kind.SIZING: "A sizing pass of", Kind.RERUN: "A re-run of"}


@dataclass(frozen=True, slots=True)
class LoadLine:
    """A consignment of the run: its bins tipped, in all, and left to tip."""

    id: int
    name: str
    block: str
    tipped: int
    bins: int
    left: int


@dataclass(frozen=True, slots=True)
class TallyView:
    """The tally, what was entered last, and the key of the next tap."""

    run_id: int
    grids: tuple[TrayGrid, ...]
    trays: str
    is_open: bool
    last: EntryLine | None
    entry_key: str
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    said: str = ""


@dataclass(frozen=True, slots=True)
class RunView:
    """The working page."""

    title: str
    run: RunWhole
    answer: str
    state: tuple[str, str]
    loads: tuple[LoadLine, ...]
    pace: str
    done_at: datetime | None
    sample: str
    places: tuple[tuple[str, str], ...]
    entries: tuple[EntryLine, ...]
    tally: TallyView
    may_run: bool
    is_sizing: bool
    typed: Mapping[str, str]
    errors: Mapping[str, str]
    notice: str = ""

    @property
    def load_keys(self) -> tuple[tuple[int, str], ...]:
        """The consignments as a form offers them."""
        return tuple((load.id, load.name) for load in self.loads)


@dataclass(frozen=True, slots=True)
class BreakLine:
    """A count of a tray type and the lightest fruit of it."""

    name: str
    words: str
    value: str


@dataclass(frozen=True, slots=True)
class LineView:
    """The second page: people, breaks, clearing, finishing, the entries and the note to the next shift."""

    title: str
    run: RunWhole
    state: tuple[str, str]
    note: tuple[str, ...]
    people: tuple[tuple[str, str], ...]
    breaks: tuple[tuple[str, tuple[BreakLine, ...]], ...]
    kinds_left: tuple[tuple[str, str], ...]
    places: tuple[tuple[str, str], ...]
    left: tuple[str, ...]
    entries: tuple[EntryLine, ...]
    may_run: bool
    is_open: bool
    typed: Mapping[str, str]
    errors: Mapping[str, str]
    notice: str = ""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A form as it was typed, what is wrong with it, and a sentence beside."""

    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""
    status: int = 200


NOTHING = Refusal()


def run_page(
    request: Request, session: Session, person: Person, run: RunWhole, refusal: Refusal = NOTHING
) -> HTMLResponse:
    """The working page of a run."""
    spec, state = spec_of(session, run.row.spec_version_id), run.state
    now = the_shed(request).clock.now()
    pace = bins_an_hour(state, now)
    view = RunView(
        title=_title(run),
        run=run,
        answer=_answer(state),
        state=state_words(run),
        loads=_loads(run),
        pace="" if pace is None else f"{digits(pace, 1, trim=True)} bins an hour",
        done_at=done_about(state, now),
        sample=_sample_words(request, session, state, now),
        places=places(state, spec),
        entries=tuple(entry_line(each, state, spec) for each in entries(session, run, _SHOWN)),
        tally=tally_view(session, person, run, refusal, spec),
        may_run=person.may(Deed.RUN_LINE) and is_open(run),
        is_sizing=state.started.kind is Kind.SIZING,
        typed=refusal.typed,
        errors={name: words for name, words in refusal.errors.items() if name != "line"},
        notice=refusal.notice,
    )
    return page(request, "runs/page.html", view, status=refusal.status)


def tally_fragment(
    request: Request, session: Session, person: Person, run: RunWhole, refusal: Refusal = NOTHING, said: str = ""
) -> HTMLResponse:
    """The tally alone, for whoever taps."""
    view = tally_view(session, person, run, refusal, spec_of(session, run.row.spec_version_id), said)
    return page(request, "runs/_tally.html", view, status=refusal.status)


def tally_view(
    session: Session, person: Person, run: RunWhole, refusal: Refusal, spec: Spec, said: str = ""
) -> TallyView:
    """The tally as it stands."""
    last = next((each for each in entries(session, run, _SHOWN) if isinstance(each.event, Amount)), None)
    line = None if last is None else entry_line(last, run.state, spec)
    return TallyView(
        run_id=run.id,
        grids=grids(run.state, spec),
        trays=digits(run.state.trays),
        is_open=is_open(run) and person.may(Deed.RUN_LINE),
        last=line if line is not None and line.left > 0 else None,
        entry_key=new_form_key(),
        typed=refusal.typed,
        errors={name: words for name, words in refusal.errors.items() if name == "line"},
        said=said,
    )


def line_page(
    request: Request, session: Session, person: Person, run: RunWhole, refusal: Refusal = NOTHING
) -> HTMLResponse:
    """The second page of a run."""
    spec, state, shed = spec_of(session, run.row.spec_version_id), run.state, the_shed(request)
    left_to = tuple((key, words) for key, words in places(state, spec) if not key.startswith(Way.CARRIED_IN.value))
    view = LineView(
        title=f"The line: {_title(run)}",
        run=run,
        state=state_words(run),
        note=note_of(session, run, shed.clock.now(), shed.clock.today(), shed.clock.zone),
        people=tuple((str(each.id), each.name) for each in people.everyone(session) if each.grower_id is None),
        breaks=_breaks(state),
        kinds_left=tuple((each.name.lower(), each.value.capitalize()) for each in What),
        places=left_to,
        left=tuple(_left_words(each, spec) for each in state.left),
        entries=tuple(entry_line(each, state, spec) for each in entries(session, run, _ALL_SHOWN)),
        may_run=person.may(Deed.RUN_LINE),
        is_open=is_open(run),
        typed=refusal.typed,
        errors=refusal.errors,
        notice=refusal.notice,
    )
    return page(request, "runs/line.html", view, status=refusal.status)


def is_open(run: RunWhole) -> bool:
    """Whether anything can still be entered."""
    return run.voided is None and run.state.finished_at is None


def state_words(run: RunWhole) -> tuple[str, str]:
    """What the run does, with the sign it is told by."""
    state = run.state
    if run.voided is not None:
        return "stop", "voided"
    if state.finished_at is not None:
        return "good", "finished"
    if state.paused_since is not None:
        return "watch", "the line stands still"
    if state.cleared_at is not None:
        return "open", "the line is cleared"
    return "good", "running"


def places(state: RunState, spec: Spec) -> tuple[tuple[str, str], ...]:
    """Where loose fruit can come from or go to, by what a form sends for it."""
    outlets = [(f"{Way.OUTLET.value}|{each.id}", Place(Way.OUTLET, each.id)) for each in spec.outlets]
    ways = [(f"{way.value}|", Place(way)) for way in (Way.CARRIED_IN, Way.CARRIED_OUT, Way.RERUN)]
    if state.started.kind is Kind.SIZING:
        ways += [(f"{Way.SIZED.value}|{name}", Place(Way.SIZED, name)) for name in SIZED_GROUPS]
    return tuple((key, place_words(place, spec).capitalize()) for key, place in (*outlets, *ways))


SIZED_GROUPS = ("small fruit", "middling fruit", "large fruit")


def place_named(key: str) -> Place:
    """The place that a form sends; one that is none is refused by the run itself."""
    way, _, name = key.partition("|")
    return Place(Way(way), name)


def _title(run: RunWhole) -> str:
    return f"{KINDS[run.state.started.kind]} {' and '.join(load.name for load in run.state.loads)}"


def _answer(state: RunState) -> str:
    bins = state.bins_tipped + state.bins_left
    tipped = f"{digits(state.bins_tipped)} of {digits(bins)} bins tipped"
    if state.started.kind is Kind.SIZING:
        return tipped
    return f"{tipped}, {digits(state.trays)} {'tray' if state.trays == 1 else 'trays'} packed"


def _loads(run: RunWhole) -> tuple[LoadLine, ...]:
    blocks = {whole.id: f"{whole.grower.name}, {whole.block.name}" for whole in run.loads}
    state = run.state
    return tuple(
        LoadLine(
            load.id,
            load.name,
            blocks[load.id],
            state.tipped[load.id].bins if load.id in state.tipped else 0,
            load.bins - load.bins_elsewhere,
            state.bins_left_of(load),
        )
        for load in state.loads
    )


def _sample_words(request: Request, session: Session, state: RunState, now: datetime) -> str:
    clock = the_shed(request).clock
    due = samples_due(state, sample_rules(session, clock.today()), now)
    if pressing := [each.why for each in due if each.now]:
        return f"A sample is due now: {pressing[0]}."
    times = [each.at for each in due if each.at is not None]
    return f"Next sample at {clock.local(min(times)):%H:%M}." if times else ""


def _breaks(state: RunState) -> tuple[tuple[str, tuple[BreakLine, ...]], ...]:
    """The breaks in force, with a box for every count of every tray type."""
    held = {(each.tray_id, each.count): each for each in state.stretch.breaks}
    return tuple(
        (tray.name, tuple(_break_line(tray.id, count, held.get((tray.id, count))) for count in tray.counts))
        for tray in state.started.trays
    )


def _break_line(tray_id: int, count: int, now: Break | None) -> BreakLine:
    value = "" if now is None else digits(Fraction(now.from_dg, DG_PER_G), 1, trim=True).replace(THIN, "")
    return BreakLine(f"break-{tray_id}-{count}", f"Count {count}, from", value)


def _left_words(left: Left, spec: Spec) -> str:
    much = f"{digits(left.fruit)} fruit" if left.net_g is None else say_mass(left.net_g, 1, trim=True)
    return f"{left.what.value.capitalize()}, {much}, {place_words(left.goes, spec)}"
