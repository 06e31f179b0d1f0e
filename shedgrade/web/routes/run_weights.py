"""At the packers' scale: a tray is weighed, one word says how it is, and all of them are held against the label."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import runs as actions
from shedgrade.actions.runs import EntryKeyTakenError
from shedgrade.domain import entry
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.run.events import TrayWeighed
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.trays.net_weight.at_scale import Word
from shedgrade.domain.trays.net_weight.check_words import say_check
from shedgrade.domain.trays.net_weight.rules import RuleSet
from shedgrade.domain.trays.net_weight.scale_words import say_scale, say_tray
from shedgrade.domain.trays.net_weight.words import NOTE, say_rules
from shedgrade.domain.units import G_PER_KG, digits, say_mass
from shedgrade.reports.run_weights import RunWeights, TrayChecked, weights_of
from shedgrade.storage import runs
from shedgrade.storage.runs import RunWhole
from shedgrade.storage.specs import spec_of
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import new_form_key, page
from shedgrade.web.run_cells import cell_named, grids
from shedgrade.web.run_page import is_open
from shedgrade.web.run_words import EntryLine, entry_line
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession, the_shed
from shedgrade.web.whoami import LineRunner, ShedPerson

router = APIRouter(prefix="/runs/{run_id}/weights")

_LONGEST_KEY = 64
_HEAVIEST_G = 60_000
_SHOWN = 12
_MARKS = {Word.OVER: "watch", Word.RIGHT: "good", Word.UNDER: "stop"}
_SAYS = {Word.OVER: "\N{BLACK UP-POINTING TRIANGLE}", Word.RIGHT: "", Word.UNDER: "\N{BLACK DOWN-POINTING TRIANGLE}"}


@dataclass(frozen=True, slots=True)
class LastTray:
    """The tray weighed last: the word for it with its sign, and all that is said of it."""

    word: str
    kind: str
    arrow: str
    says: str
    line: EntryLine


@dataclass(frozen=True, slots=True)
class TrayLine:
    """A tray type: the three answers about its label, and what its scale can be."""

    name: str
    base: str
    answers: tuple[str, ...]
    scale: str


@dataclass(frozen=True, slots=True)
class WeightsView:
    """The page at the packers' scale."""

    title: str
    run_id: int
    names: str
    keys: tuple[tuple[str, str], ...]
    last: LastTray | None
    trays: tuple[TrayLine, ...]
    weighed: tuple[EntryLine, ...]
    rules: str
    rule_lines: tuple[str, ...]
    drying: str
    note: str
    may_weigh: bool
    entry_key: str
    typed: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)


@router.get("")
def shown(request: Request, person: ShedPerson, session: ReadSession, run_id: RowId) -> HTMLResponse:
    """The check-weights of a run."""
    return _page(request, session, person, runs.run_for(session, person, run_id))


@router.post("", openapi_extra=publishes("cell", "gross", "tare", "entry_key"))
def weigh(
    request: Request, person: LineRunner, session: FormSession, posted: CurrentPosted, shed: CurrentShed, run_id: RowId
) -> Response:
    """Store one tray's weight. The same tap sent twice is stored once."""
    run = runs.run_for(session, person, run_id, lock=True)
    answers = Answers(posted)
    spec = spec_of(session, run.row.spec_version_id)
    keys = {key: cell_named(key, run.state, spec) for key, _ in _keys(run, session)}
    cell = answers.choice("cell", keys)
    gross_g = answers.read("gross", lambda text: entry.mass(text, most_g=_HEAVIEST_G))
    tare_g = answers.read("tare", lambda text: entry.mass(text, most_g=_HEAVIEST_G))
    if cell is not None and gross_g is not None and tare_g is not None:
        key = posted.get("entry_key", "")[:_LONGEST_KEY] or None
        try:
            actions.record(session, run, TrayWeighed(shed.clock.now(), cell, gross_g, tare_g), person.id, entry_key=key)
        except RefusedError as no:
            answers.refuse("gross", str(no))
        except EntryKeyTakenError:
            raise HTTPException(409, "This tap was stored before, as another weight. Weigh the tray again.") from None
        else:
            return done(request, session, person, posted, f"/runs/{run_id}/weights")
    return _page(request, session, person, run, posted, answers.errors)


def _page(
    request: Request,
    session: Session,
    person: Person,
    run: RunWhole,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
) -> HTMLResponse:
    found = weights_of(session, run, the_shed(request).clock.today())
    spec = spec_of(session, run.row.spec_version_id)
    lines = [entry_line(each, run.state, spec) for each in reversed(found.entries)]
    view = WeightsView(
        title=f"Label weight: {_names(run)}",
        run_id=run.id,
        names=_names(run),
        keys=_keys(run, session),
        last=_last(run, found, lines),
        trays=tuple(_tray_line(each, found.by.rules) for each in found.trays),
        weighed=tuple(lines[:_SHOWN]),
        rules=found.by.rules.name,
        rule_lines=say_rules(found.by.rules),
        drying=found.by.drying.says(),
        note=NOTE,
        may_weigh=person.may(Deed.RUN_LINE) and is_open(run) and bool(run.state.started.trays),
        entry_key=new_form_key(),
        typed=typed if typed is not None else _as_last(found),
        errors=errors or {},
    )
    return page(request, "runs/weights.html", view, status=422 if errors else 200)


def _names(run: RunWhole) -> str:
    return " and ".join(load.name for load in run.state.loads)


def _keys(run: RunWhole, session: Session) -> tuple[tuple[str, str], ...]:
    spec = spec_of(session, run.row.spec_version_id)
    return tuple((key.value, key.words) for grid in grids(run.state, spec) for row in grid.rows for key in row.keys)


def _as_last(found: RunWeights) -> dict[str, str]:
    """The next tray is likely of the same kind, on the same empty tray."""
    if not found.entries or not isinstance(event := found.entries[-1].event, TrayWeighed):
        return {}
    cell = event.cell
    tare = digits(Fraction(event.tare_g, G_PER_KG), 3, trim=True) if event.tare_g else ""
    return {"cell": f"{cell.tray_id}|{cell.class_id}|{cell.counts[0]}", "tare": tare}


def _last(run: RunWhole, found: RunWeights, lines: list[EntryLine]) -> LastTray | None:
    if not found.entries or not isinstance(event := found.entries[-1].event, TrayWeighed):
        return None
    tray = run.state.tray(event.cell.tray_id)
    assert tray is not None
    marks, net_g = found.by.marks(tray), found.by.drying.left_of(event.net_g)
    word = marks.word(net_g)
    return LastTray(word.value, _MARKS[word], _SAYS[word], say_tray(net_g, marks), lines[0])


def _tray_line(each: TrayChecked, rules: RuleSet) -> TrayLine:
    label = say_mass(each.tray.label_g, 3, trim=True)
    base = f"{digits(each.weighed)} weighed of {digits(each.packed)} packed; the label says {label}."
    answers = () if each.check is None else say_check(each.check)
    return TrayLine(each.tray.name, base, answers, say_scale(each.fit, rules))
