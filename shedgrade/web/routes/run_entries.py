"""Everything that is entered into a run: trays, bins, loose fruit, samples, pauses, people, breaks, and its end.

Each form reads one event, holds it against the run, and stores it; what cannot be is said beside the form, where what
was typed stays."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request
from fastapi.responses import Response
from sqlmodel import Session

from shedgrade.actions import runs as actions
from shedgrade.actions.runs import EntryKeyTakenError
from shedgrade.domain import entry
from shedgrade.domain.people import Person
from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Break, Event, Left, Way, What
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G
from shedgrade.storage import people, runs
from shedgrade.storage.runs import RunWhole
from shedgrade.storage.specs import spec_of
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId, row_id
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import see, wants_fragment
from shedgrade.web.posted import Posted
from shedgrade.web.run_cells import cell_named, cell_words, line_read
from shedgrade.web.run_page import LEFT_ROWS, Refusal, line_page, place_named, places, run_page, tally_fragment
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.voiding import not_voided
from shedgrade.web.whoami import LineRunner

router = APIRouter(prefix="/runs/{run_id}")

_LONGEST_KEY = 64
_MOST_BINS = 200
_MOST_FRUIT = 2_000
_HEAVIEST_G = 30_000_000
_HEAVIEST_BREAK_G = 5_000
_TAKEN_BEFORE = "This tap was stored before, as another entry. Look at the list of entries, and tap again."
Read = Callable[[Answers, RunWhole, datetime], Event | None]


@dataclass(frozen=True, slots=True)
class Line:
    """Who enters something, and what they sent."""

    request: Request
    session: Session
    person: Person
    posted: Posted
    now: datetime

    def run(self, run_id: int) -> RunWhole:
        """The run, nobody else entering anything meanwhile."""
        return runs.run_for(self.session, self.person, run_id, lock=True)

    def done(self, location: str) -> Response:
        """Commit, and on to the page."""
        return done(self.request, self.session, self.person, self.posted, location)


def _at_the_line(
    request: Request, person: LineRunner, session: FormSession, posted: CurrentPosted, shed: CurrentShed
) -> Line:
    return Line(request, session, person, posted, shed.clock.now())


AtTheLine = Annotated[Line, Depends(_at_the_line)]


@router.post("/trays", openapi_extra=publishes("cell", "line", "entry_key"))
def pack(line: AtTheLine, run_id: RowId) -> Response:
    """Trays more: by a plus key, or by a typed or scanned line. The same tap sent twice is stored once."""
    run = line.run(run_id)
    spec, answers = spec_of(line.session, run.row.spec_version_id), Answers(line.posted)
    found = _trays(answers, run, spec)
    if found is not None:
        event = say.TraysPacked(line.now, *found)
        try:
            recorded = actions.record(
                line.session,
                run,
                event,
                line.person.id,
                entry_key=line.posted.get("entry_key", "")[:_LONGEST_KEY] or None,
            )
        except RefusedError as no:
            answers.refuse("line", str(no))
        except EntryKeyTakenError:
            raise HTTPException(409, _TAKEN_BEFORE) from None
        else:
            line.session.commit()
            if not wants_fragment(line.request):
                return see(f"/runs/{run_id}")
            said = f"{event.trays} more: {cell_words(event.cell, run.state, spec)}"
            return tally_fragment(line.request, line.session, line.person, recorded.run, said=said)
    refusal = Refusal(line.posted, answers.errors, status=422)
    if wants_fragment(line.request):
        return tally_fragment(line.request, line.session, line.person, run, refusal)
    return run_page(line.request, line.session, line.person, run, refusal)


def _trays(answers: Answers, run: RunWhole, spec: Spec) -> tuple[say.Cell, int] | None:
    if value := answers.typed.get("cell"):
        cell = cell_named(value, run.state, spec)
        if cell is not None:
            return cell, 1
        answers.refuse("line", "That key is not on the tally any more. Look at the page again.")
        return None
    if not run.state.started.trays:
        answers.refuse("line", "A sizing pass fills bins, not trays.")
        return None
    return answers.read("line", lambda text: line_read(text, run.state, spec))


@router.post("/bins", openapi_extra=publishes("bins-load", "bins", "bins-net"))
def tip(line: AtTheLine, run_id: RowId) -> Response:
    """Bins go onto the line."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        load = answers.choice("bins-load", {str(each.id): each.id for each in run.state.loads})
        bins = answers.read("bins", lambda text: entry.whole(text, least=1, most=_MOST_BINS))
        net_g = answers.read("bins-net", lambda text: entry.mass(text, most_g=_HEAVIEST_G), needed=False)
        return None if load is None or bins is None or not answers.fine else say.BinsTipped(now, load, bins, net_g)

    return _entered(line, run_id, read, "bins")


@router.post("/loose", openapi_extra=publishes("place", "loose-net"))
def weigh_loose(line: AtTheLine, run_id: RowId) -> Response:
    """Loose fruit weighed: to an outlet, carried in or out, or to be run again."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        spec = spec_of(line.session, run.row.spec_version_id)
        place = answers.choice("place", {key: key for key, _ in places(run.state, spec)})
        net_g = answers.read("loose-net", lambda text: entry.mass(text, most_g=_HEAVIEST_G))
        return None if place is None or net_g is None else say.LooseWeighed(now, place_named(place), net_g)

    return _entered(line, run_id, read, "loose-net")


@router.post("/samples", openapi_extra=publishes("sample-way", "sample-fruit", "sample-net"))
def sample(line: AtTheLine, run_id: RowId) -> Response:
    """Fruit taken off the line to be looked at, or put back."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        del run
        is_out = answers.choice("sample-way", {"out": True, "back": False})
        fruit = answers.read("sample-fruit", lambda text: entry.whole(text, least=1, most=_MOST_FRUIT))
        net_g = answers.read("sample-net", lambda text: entry.mass(text, most_g=_HEAVIEST_G))
        if is_out is None or fruit is None or net_g is None:
            return None
        return say.SampleTaken(now, fruit, net_g) if is_out else say.SampleReturned(now, fruit, net_g)

    return _entered(line, run_id, read, "sample-fruit")


@router.post("/pausing", openapi_extra=publishes("why"))
def pause(line: AtTheLine, run_id: RowId) -> Response:
    """The line stands still."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        del run
        why = answers.text("why", needed=False, longest=80)
        return say.Paused(now, why) if answers.fine else None

    return _entered(line, run_id, read, "why")


@router.post("/going-on", openapi_extra=publishes())
def go_on(line: AtTheLine, run_id: RowId) -> Response:
    """The line goes on."""
    return _entered(line, run_id, lambda _, __, now: say.Resumed(now), "why")


@router.post("/taking-back", openapi_extra=publishes("number", "trays-back", "from"))
def take_back(line: AtTheLine, run_id: RowId) -> Response:
    """Take an entry back by a counter-entry, of trays also some of them."""
    run = line.run(run_id)
    answers = Answers(line.posted)
    trays = answers.read("trays-back", lambda text: entry.whole(text, least=1, most=_MOST_FRUIT), needed=False)
    number = row_id(answers.text("number"))
    if answers.fine:
        try:
            recorded = actions.take_back(line.session, run, number, line.person.id, line.now, trays=trays)
        except RefusedError as no:
            answers.refuse("trays-back", str(no))
        else:
            if wants_fragment(line.request):
                line.session.commit()
                return tally_fragment(line.request, line.session, line.person, recorded.run, said="Taken back.")
            return line.done(f"/runs/{run_id}{_FROM.get(line.posted.get('from', ''), '')}")
    refusal = Refusal(line.posted, {}, " ".join(answers.errors.values()), status=422)
    if wants_fragment(line.request):
        return tally_fragment(
            line.request, line.session, line.person, run, Refusal({}, {"line": refusal.notice}, status=422)
        )
    return (line_page if "from" in line.posted else run_page)(line.request, line.session, line.person, run, refusal)


_LINE = "/line"
_FROM = {"line": _LINE, "weights": "/weights"}


@router.post("/stations", openapi_extra=publishes("station-person", "station"))
def stand(line: AtTheLine, run_id: RowId) -> Response:
    """Somebody stands at a station from now on."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        del run
        names = {str(each.id): each for each in people.everyone(line.session) if each.grower_id is None}
        who = answers.choice("station-person", names)
        station = answers.text("station", longest=40)
        return say.StationTaken(now, who.id, who.name, station) if who is not None and answers.fine else None

    return _entered(line, run_id, read, "station", _LINE)


@router.post("/stations/leaving", openapi_extra=publishes("who", "where"))
def leave(line: AtTheLine, run_id: RowId) -> Response:
    """They stand there no longer."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        del run
        return say.StationLeft(now, row_id(answers.typed.get("who", "")), answers.typed.get("where", ""))

    return _entered(line, run_id, read, "station", _LINE)


@router.post("/breaks", openapi_extra=publishes("break-*", "breaks-why"))
def change_breaks(line: AtTheLine, run_id: RowId) -> Response:
    """New breaks: a new stretch begins, and trays packed before are not mixed up with those packed from now on."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        why = answers.text("breaks-why", needed=False, longest=80)
        breaks = []
        for tray in run.state.started.trays:
            for count in tray.counts:
                from_g = answers.read(f"break-{tray.id}-{count}", _break_dg, needed=False)
                if from_g is not None:
                    breaks.append(Break(tray.id, count, from_g))
        return say.BreaksChanged(now, tuple(breaks), why) if answers.fine else None

    return _entered(line, run_id, read, "breaks-why", _LINE)


def _break_dg(text: str) -> int:
    """A weight that fruit are told apart by, in tenths of a gram."""
    return entry.weight(text, lightest_dg=1, heaviest_dg=_HEAVIEST_BREAK_G * DG_PER_G, fruit_name="fruit")


@router.post("/clearing", openapi_extra=publishes("left-what-*", "left-goes-*", "left-net-*"))
def clear(line: AtTheLine, run_id: RowId) -> Response:
    """The line is cleared: what is left, and where it goes."""

    def read(answers: Answers, run: RunWhole, now: datetime) -> Event | None:
        spec = spec_of(line.session, run.row.spec_version_id)
        left = [_left(answers, run, spec, row) for row in LEFT_ROWS if _is_filled(answers, row)]
        return say.LineCleared(now, tuple(each for each in left if each is not None)) if answers.fine else None

    return _entered(line, run_id, read, "left-net-1", _LINE)


def _is_filled(answers: Answers, row: int) -> bool:
    return any(answers.typed.get(f"left-{name}-{row}", "").strip() for name in ("what", "goes", "net"))


def _left(answers: Answers, run: RunWhole, spec: Spec, row: int) -> Left | None:
    what = answers.choice(f"left-what-{row}", {each.name.lower(): each for each in What})
    ways = {key: place_named(key) for key, _ in places(run.state, spec)}
    allowed = {key: place for key, place in ways.items() if place.way is not Way.CARRIED_IN}
    goes = answers.choice(f"left-goes-{row}", allowed)
    net_g = answers.read(f"left-net-{row}", lambda text: entry.mass(text, most_g=_HEAVIEST_G))
    return None if what is None or goes is None or net_g is None else Left(what, goes, net_g=net_g)


@router.post("/finishing", openapi_extra=publishes())
def finish(line: AtTheLine, run_id: RowId) -> Response:
    """The run is over."""
    return _entered(line, run_id, lambda _, __, now: say.Finished(now), "", _LINE)


@router.post("/voiding", openapi_extra=publishes("reason"))
def void(line: AtTheLine, run_id: RowId) -> Response:
    """Void a run that was started by mistake: its bins are to be tipped again."""
    run = line.run(run_id)
    again = not_voided(
        line.posted, lambda reason: actions.void_run(line.session, run, reason, line.person.id, line.now)
    )
    if again is None:
        return line.done(f"/runs/{run_id}")
    return line_page(
        line.request, line.session, line.person, run, Refusal(again.typed, again.errors, again.notice, again.status)
    )


def _entered(line: Line, run_id: int, read: Read, field: str, page: str = "") -> Response:
    """Store what a form says, or show it again with what is wrong with it; ``field`` is where a refusal by the run
    stands, "" for above the page."""
    run = line.run(run_id)
    answers = Answers(line.posted)
    notice = ""
    event = read(answers, run, line.now)
    if event is not None:
        try:
            actions.record(line.session, run, event, line.person.id)
        except RefusedError as no:
            if field:
                answers.refuse(field, str(no))
            else:
                notice = str(no)
        else:
            return line.done(f"/runs/{run_id}{page}")
    refusal = Refusal(line.posted, answers.errors, notice, status=422)
    return (line_page if page else run_page)(line.request, line.session, line.person, run, refusal)
