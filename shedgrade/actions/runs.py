"""Runs: started, everything that happens in one recorded, what was wrong taken back.

``record`` takes every event: it is held against the run as it stands first, and refused in a sentence if it cannot be.
Load the run with its lock before.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlmodel import Session, func, select

from shedgrade.actions.voiding import void
from shedgrade.domain.people import Person
from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Break, Cell, Event, Kind
from shedgrade.domain.run.fold import step
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.run.tally import Tally
from shedgrade.storage import run_entries, runs
from shedgrade.storage.history import tell
from shedgrade.storage.intake import consignments_with
from shedgrade.storage.missing import MissingError
from shedgrade.storage.run_entries import Entry
from shedgrade.storage.run_rows import columns_of, counts_text, left_row
from shedgrade.storage.runs import RunWhole
from shedgrade.storage.specs import spec_of
from shedgrade.storage.tables import Run, RunBreak, RunEvent, RunLoad, RunTally, RunTray, TrayTypeRow

_NO_AMOUNT = "Only what was counted or weighed can be taken back."
_VOIDED = "The run was voided. Start another one."


class EntryKeyTakenError(Exception):
    """The tap or form was stored before, as another entry; ``number`` and ``run_id`` say as which."""

    def __init__(self, stored: RunEvent) -> None:
        """Give what stands."""
        super().__init__(stored.number)
        self.number, self.run_id = stored.number, stored.run_id


@dataclass(frozen=True, slots=True)
class StartFacts:
    """What a run begins with: consignments with their declared parts (0 where another rule shares), tray types and
    breaks. Ids; at least one consignment."""

    kind: Kind
    loads: tuple[tuple[int, int], ...]
    spec_version_id: int
    tray_ids: tuple[int, ...] = ()
    breaks: tuple[Break, ...] = ()
    rule: Rule = Rule.NET


@dataclass(frozen=True, slots=True)
class Recorded:
    """The run after an entry, and its number; ``is_new`` False if this very tap or form had been stored before."""

    run: RunWhole
    number: int
    is_new: bool


def start(session: Session, facts: StartFacts, person: Person, now: datetime) -> Run:
    """Start a run; RefusedError if it cannot be, MissingError for a consignment this person may not see."""
    row = Run(
        kind=facts.kind.value,
        spec_version_id=facts.spec_version_id,
        rule=facts.rule.value,
        started_at=now,
        started_by_id=person.id,
    )
    _refuse_start(session, row, facts, person)
    tell(row, loads=[load_id for load_id, _ in facts.loads], tray_type_ids=list(facts.tray_ids))
    session.add(row)
    session.flush()
    run_id = row.id or 0
    for place, (load_id, parts) in enumerate(facts.loads, 1):
        session.add(RunLoad(run_id=run_id, consignment_id=load_id, place=place, parts=parts))
    for place, tray_id in enumerate(facts.tray_ids, 1):
        session.add(RunTray(run_id=run_id, tray_type_id=tray_id, place=place))
    session.flush()
    _add_breaks(session, run_id, 1, facts.breaks)
    return row


def record(session: Session, run: RunWhole, event: Event, person_id: int, *, entry_key: str | None = None) -> Recorded:
    """Store one more event of a run that was loaded with its lock; RefusedError, with nothing stored, if it cannot be.

    With the key of a tap or form it is stored once, however often it is sent; EntryKeyTakenError if the first sending
    held another entry. A counter-entry is made by ``take_back``, which names what it takes back: TypeError."""
    if isinstance(event, say.TakenBack):
        raise TypeError("a counter-entry is stored by take_back")
    if entry_key and (stored := run_entries.entry_of_key(session, entry_key)):
        return _stored_before(run, event, stored)
    return _record(session, run, event, person_id, entry_key=entry_key, corrects=None)


def take_back(
    session: Session, run: RunWhole, number: int, person_id: int, now: datetime, *, trays: int | None = None
) -> Recorded:
    """Take an entry of a locked run back by a counter-entry that names it; of trays also some of them. MissingError if
    there is no such entry; RefusedError for what is no amount, or was taken back before."""
    entry = run_entries.entry(session, run, number)
    what = _what(entry, trays)
    return _record(session, run, say.TakenBack(now, number, what), person_id, entry_key=None, corrects=entry)


def void_run(session: Session, run: RunWhole, reason: str, person_id: int, now: datetime) -> bool:
    """Make a run that was started by mistake count no longer, as ``voiding.void`` does: its bins are to be tipped
    again."""
    return void(session, run.row, reason, person_id, now)


def _refuse_start(session: Session, row: Run, facts: StartFacts, person: Person) -> None:
    wholes = {whole.id: whole for whole in consignments_with(session, person, [each for each, _ in facts.loads])}
    if any(load_id not in wholes for load_id, _ in facts.loads):
        raise MissingError
    for whole in wholes.values():
        if whole.voided:
            raise RefusedError(f"{whole.name} was voided. Choose another consignment.")
    loads = tuple(runs.load_of(wholes[load_id], parts, ()) for load_id, parts in facts.loads)
    trays = runs.trays_of(session, facts.tray_ids)
    step(None, runs.begun_with(session, row, loads, trays, facts.breaks))
    crops = {whole.block.crop_id for whole in wholes.values()} | {spec_of(session, facts.spec_version_id).crop.id}
    crops |= {session.get_one(TrayTypeRow, tray_id).crop_id for tray_id in facts.tray_ids}
    if len(crops) > 1:
        raise RefusedError(f"One run packs one kind of fruit, and these are {' and '.join(sorted(crops))}.")


def _record(
    session: Session, run: RunWhole, event: Event, person_id: int, *, entry_key: str | None, corrects: Entry | None
) -> Recorded:
    if run.row.voided_at is not None:
        raise RefusedError(_VOIDED)
    state = step(run.state, event)
    row = RunEvent(
        run_id=run.id,
        number=_next_number(session, run.id),
        at=event.at,
        by_id=person_id,
        entry_key=entry_key or None,
        corrects_id=None if corrects is None else corrects.id,
        **columns_of(event),
    )
    if isinstance(event, say.BreaksChanged):
        row.stretch = state.stretch.number
    session.add(row)
    session.flush()
    after = replace(run, state=state)
    _store_beside(session, after, event, row.id or 0)
    return Recorded(after, row.number, is_new=True)


def _store_beside(session: Session, run: RunWhole, event: Event, event_id: int) -> None:
    """What an event changes beside its own row."""
    amount = event.what if isinstance(event, say.TakenBack) else event
    match amount:
        case say.TraysPacked(cell=cell) | say.TrayWeighed(cell=cell):
            _keep_sum(session, run.id, cell, run.state.cells.get(cell, Tally()))
        case say.BreaksChanged(breaks=breaks):
            _add_breaks(session, run.id, run.state.stretch.number, breaks)
        case say.LineCleared(left=left):
            session.add_all(left_row(event_id, place, each) for place, each in enumerate(left, 1))
        case say.Finished(at=at):
            run.row.finished_at = at
            run.row.version += 1
            session.add(run.row)
    session.flush()


def _keep_sum(session: Session, run_id: int, cell: Cell, tally: Tally) -> None:
    key = (run_id, cell.stretch, cell.class_id, cell.tray_id, counts_text(cell.counts))
    row = session.get(RunTally, key) or RunTally(
        run_id=run_id, stretch=cell.stretch, class_id=cell.class_id, tray_type_id=cell.tray_id, counts=key[-1]
    )
    row.trays, row.weighed, row.short = tally.trays, tally.weights.n, tally.weights.short
    row.total_g, row.squares_g2 = tally.weights.total_g, tally.weights.squares_g2
    session.add(row)


def _add_breaks(session: Session, run_id: int, stretch: int, breaks: Sequence[Break]) -> None:
    session.add_all(
        RunBreak(run_id=run_id, stretch=stretch, tray_type_id=each.tray_id, count=each.count, from_dg=each.from_dg)
        for each in breaks
    )
    session.flush()


def _next_number(session: Session, run_id: int) -> int:
    return (session.exec(select(func.max(RunEvent.number)).where(RunEvent.run_id == run_id)).one() or 0) + 1


def _what(entry: Entry, trays: int | None) -> say.Amount:
    """What of an entry is taken back."""
    if not isinstance(entry.event, say.Amount):
        raise RefusedError(_NO_AMOUNT)
    if not isinstance(entry.event, say.TraysPacked):
        if entry.taken_back:
            raise RefusedError("That was taken back already.")
        return entry.event
    left = entry.event.trays - entry.taken_back
    if left < 1 or (trays or 0) > left:
        there = "none is" if left < 1 else "1 is" if left == 1 else f"{left} are"
        raise RefusedError(f"Of these {entry.event.trays} trays {there} left to take back.")
    return replace(entry.event, trays=left if trays is None else trays)


def _stored_before(run: RunWhole, event: Event, stored: RunEvent) -> Recorded:
    same = all(getattr(stored, name) == value for name, value in columns_of(event).items())
    if stored.run_id != run.id or stored.corrects_id is not None or not same:
        raise EntryKeyTakenError(stored)
    return Recorded(run, stored.number, is_new=False)
