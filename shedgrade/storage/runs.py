"""Runs as they stand: a look costs what there is beside the trays, which come as sums."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import sqlalchemy
from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from shedgrade.domain.net import intake_net
from shedgrade.domain.people import Deed, Doer, Person
from shedgrade.domain.run.events import Break, Cell, Event, Kind, Left, Load, Started, Tray
from shedgrade.domain.run.fold import fold
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.run.state import RunState
from shedgrade.domain.run.tally import Tally, Weights
from shedgrade.storage.intake import ConsignmentWhole, consignments_with
from shedgrade.storage.missing import MissingError
from shedgrade.storage.run_rows import (
    KINDS_BESIDE_TRAYS,
    Beside,
    break_of,
    counts_read,
    event_of,
    left_of,
)
from shedgrade.storage.specs import spec_of
from shedgrade.storage.tables import (
    Consignment,
    Docket,
    PersonRow,
    Run,
    RunBreak,
    RunEvent,
    RunLeft,
    RunLoad,
    RunTally,
    RunTray,
    TrayCount,
    TrayTypeRow,
)
from shedgrade.storage.voided import Voided


@dataclass(frozen=True, slots=True)
class RunWhole:
    """A run, what it has come to, and its consignments in order."""

    row: Run
    state: RunState
    loads: tuple[ConsignmentWhole, ...]
    started_by: Doer
    voided: Voided | None

    @property
    def id(self) -> int:
        """Its id."""
        return self.row.id or 0


@dataclass(frozen=True, slots=True)
class RunHead:
    """A run on a list, and what its consignments are called."""

    row: Run
    loads: tuple[str, ...]


def run_for(session: Session, person: Person, run_id: int, *, lock: bool = False) -> RunWhole:
    """One run; MissingError if there is none this person may see. ``lock`` keeps others from adding to it, and from
    tipping its consignments in other runs, until this session is done."""
    row = session.get(Run, run_id, with_for_update=lock) if person.may(Deed.SEE_SHED) else None
    if row is None:
        raise MissingError
    of_run = session.exec(select(RunLoad).where(RunLoad.run_id == run_id).order_by(col(RunLoad.place))).all()
    ids = [each.consignment_id for each in of_run]
    if lock:
        session.exec(select(Consignment.id).where(col(Consignment.id).in_(sorted(ids))).with_for_update()).all()
    wholes = {whole.id: whole for whole in consignments_with(session, person, ids)}
    loads = _loads(session, of_run, wholes)
    state = _state(session, row, loads)
    return RunWhole(
        row, state, tuple(wholes[each] for each in ids), _doer(session, row.started_by_id), _voided(session, row)
    )


def runs_for(
    session: Session,
    person: Person,
    *,
    consignment_id: int | None = None,
    since: datetime | None = None,
    open_only: bool = False,
) -> list[RunHead]:
    """The runs this person may see, newest first; voided ones too, unless only those still open are asked for."""
    if not person.may(Deed.SEE_SHED):
        return []
    where: list[ColumnElement[bool]] = []
    if consignment_id is not None:
        where.append(col(Run.id).in_(select(RunLoad.run_id).where(RunLoad.consignment_id == consignment_id)))
    if since is not None:
        where.append(col(Run.started_at) >= since)
    if open_only:
        where += [col(Run.finished_at).is_(None), col(Run.voided_at).is_(None)]
    rows = session.exec(select(Run).where(*where).order_by(col(Run.started_at).desc(), col(Run.id).desc())).all()
    names = _load_names(session, [row.id or 0 for row in rows])
    return [RunHead(row, tuple(names[row.id or 0])) for row in rows]


def standing_runs(session: Session, consignment_id: int) -> list[int]:
    """The ids of the runs that a consignment is packed in, voided ones left out; nobody can start another one of it
    until this session is done if the consignment was loaded with its lock."""
    query = (
        select(RunLoad.run_id)
        .join(Run, col(Run.id) == RunLoad.run_id)
        .where(RunLoad.consignment_id == consignment_id, col(Run.voided_at).is_(None))
        .order_by(col(RunLoad.run_id))
    )
    return list(session.exec(query))


def _loads(session: Session, of_run: Sequence[RunLoad], wholes: Mapping[int, ConsignmentWhole]) -> tuple[Load, ...]:
    run_id = of_run[0].run_id
    elsewhere = bins_elsewhere(session, [each.consignment_id for each in of_run], run_id)
    return tuple(load_of(wholes[each.consignment_id], each.parts, elsewhere[each.consignment_id]) for each in of_run)


def load_of(whole: ConsignmentWhole, parts: int, elsewhere: Sequence[tuple[int, int]]) -> Load:
    """A consignment as a run takes it, with its net as it is known now."""
    net_g = intake_net(whole.groups, whole.wet_tares).net_g
    return Load(whole.id, whole.name, len(whole.bins), net_g, parts, tuple(elsewhere))


def bins_elsewhere(session: Session, ids: Collection[int], run_id: int) -> dict[int, list[tuple[int, int]]]:
    """By consignment the bins that runs other than this one tipped, by the run's id; voided runs left out."""
    signed = sqlalchemy.case((col(RunEvent.corrects_id).is_(None), col(RunEvent.bins)), else_=-col(RunEvent.bins))
    query = (
        sqlalchemy.select(col(RunEvent.consignment_id), col(RunEvent.run_id), func.sum(signed))
        .join(Run, col(Run.id) == RunEvent.run_id)
        .where(col(RunEvent.consignment_id).in_(ids), col(RunEvent.run_id) != run_id, col(Run.voided_at).is_(None))
        .group_by(col(RunEvent.consignment_id), col(RunEvent.run_id))
        .order_by(col(RunEvent.run_id))
    )
    found: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for consignment_id, other, bins in session.execute(query):
        if bins:
            found[consignment_id].append((other, int(bins)))
    return found


def _state(session: Session, row: Run, loads: tuple[Load, ...]) -> RunState:
    run_id = row.id or 0
    breaks = _breaks(session, run_id)
    tray_ids = session.exec(select(RunTray.tray_type_id).where(RunTray.run_id == run_id).order_by(col(RunTray.place)))
    begun = begun_with(session, row, loads, trays_of(session, tray_ids.all()), breaks.get(1, ()))
    # What other runs tipped counts for what can be tipped next; when these bins were tipped it was not there yet.
    alone = replace(begun, loads=tuple(replace(load, elsewhere=()) for load in loads))
    state = fold([alone, *_beside_trays(session, run_id, breaks)])
    return replace(state, started=begun, cells=_cells(session, run_id))


def begun_with(
    session: Session, row: Run, loads: tuple[Load, ...], trays: tuple[Tray, ...], breaks: tuple[Break, ...]
) -> Started:
    """How a run began, with the classes and outlets of its spec."""
    spec = spec_of(session, row.spec_version_id)
    return Started(
        at=row.started_at,
        run_id=row.id or 0,
        kind=Kind(row.kind),
        loads=loads,
        spec_version_id=row.spec_version_id,
        classes=tuple(each.id for each in spec.classes),
        outlets=tuple(each.id for each in spec.outlets),
        trays=trays,
        breaks=breaks,
        rule=Rule(row.rule),
    )


def trays_of(session: Session, ids: Sequence[int]) -> tuple[Tray, ...]:
    """Tray types as a run takes them, in this order; MissingError if one is not there."""
    rows = {row.id: row for row in session.exec(select(TrayTypeRow).where(col(TrayTypeRow.id).in_(ids)))}
    if any(tray_id not in rows for tray_id in ids):
        raise MissingError
    counts: dict[int, list[int]] = defaultdict(list)
    of_these = select(TrayCount).where(col(TrayCount.tray_type_id).in_(ids)).order_by(col(TrayCount.count))
    for each in session.exec(of_these):
        counts[each.tray_type_id].append(each.count)
    return tuple(Tray(each, rows[each].name, rows[each].net_g, tuple(counts[each])) for each in ids)


def _breaks(session: Session, run_id: int) -> dict[int, tuple[Break, ...]]:
    query = (
        select(RunBreak)
        .where(RunBreak.run_id == run_id)
        .order_by(col(RunBreak.stretch), col(RunBreak.tray_type_id), col(RunBreak.count))
    )
    found: dict[int, list[Break]] = defaultdict(list)
    for each in session.exec(query):
        found[each.stretch].append(break_of(each))
    return {stretch: tuple(breaks) for stretch, breaks in found.items()}


def _beside_trays(session: Session, run_id: int, breaks: Mapping[int, tuple[Break, ...]]) -> list[Event]:
    query = select(RunEvent).where(RunEvent.run_id == run_id, col(RunEvent.kind).in_(KINDS_BESIDE_TRAYS))
    # Ordered here: asked for their order, SQLite reads the run's every tray along the index of numbers.
    in_order = sorted(session.exec(query), key=lambda row: row.number)
    rows = {row.id: row for row in in_order}
    beside = beside_of(session, in_order, breaks)
    return [event_of(row, beside, rows.get(row.corrects_id)) for row in rows.values()]


def _cells(session: Session, run_id: int) -> dict[Cell, Tally]:
    found = {}
    for row in session.exec(select(RunTally).where(RunTally.run_id == run_id)):
        tally = tally_of(row)
        if tally != Tally():
            found[Cell(row.stretch, row.class_id, row.tray_type_id, counts_read(row.counts))] = tally
    return found


def tally_of(row: RunTally) -> Tally:
    """A stored sum."""
    return Tally(row.trays, Weights(row.weighed, row.total_g, row.squares_g2, row.short))


def beside_of(session: Session, rows: Collection[RunEvent], breaks: Mapping[int, tuple[Break, ...]]) -> Beside:
    """What stands beside these rows of a run with these breaks, by stretch."""
    return Beside(_people(session, rows), breaks, _left(session, rows))


def _people(session: Session, rows: Collection[RunEvent]) -> dict[int, str]:
    ids = {row.person_id for row in rows if row.person_id is not None}
    if not ids:
        return {}
    query = select(PersonRow.id, PersonRow.name).where(col(PersonRow.id).in_(ids))
    return {person_id or 0: name for person_id, name in session.exec(query)}


def _left(session: Session, rows: Collection[RunEvent]) -> dict[int, tuple[Left, ...]]:
    ids = [row.id or 0 for row in rows if row.kind == "cleared"]
    found: dict[int, list[Left]] = defaultdict(list)
    if ids:
        query = select(RunLeft).where(col(RunLeft.event_id).in_(ids)).order_by(col(RunLeft.place))
        for each in session.exec(query):
            found[each.event_id].append(left_of(each))
    return {event_id: tuple(left) for event_id, left in found.items()}


def _load_names(session: Session, run_ids: Collection[int]) -> dict[int, list[str]]:
    query = (
        select(RunLoad.run_id, Docket.number, Consignment.line)
        .join(Consignment, col(Consignment.id) == RunLoad.consignment_id)
        .join(Docket, col(Docket.id) == Consignment.docket_id)
        .where(col(RunLoad.run_id).in_(run_ids))
        .order_by(col(RunLoad.place))
    )
    found: dict[int, list[str]] = defaultdict(list)
    for run_id, number, line in session.exec(query):
        found[run_id].append(f"{number}-{line}")
    return found


def _doer(session: Session, person_id: int) -> Doer:
    row = session.get_one(PersonRow, person_id)
    return Doer(row.name, row.grower_id)


def _voided(session: Session, row: Run) -> Voided | None:
    if row.voided_at is None or row.voided_by_id is None:
        return None
    return Voided(_doer(session, row.voided_by_id), row.voided_at, row.void_reason)
