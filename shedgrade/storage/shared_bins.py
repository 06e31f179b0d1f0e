"""Bins of an outlet that several runs fill, and what each run put in."""

from collections.abc import Mapping
from dataclasses import replace

from sqlmodel import Session, col, select

from shedgrade.domain.people import Person
from shedgrade.domain.run.balance import SharedBin, load_weights
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.run.state import RunState
from shedgrade.storage.missing import MissingError
from shedgrade.storage.runs import RunWhole, run_for
from shedgrade.storage.tables import Run, RunEvent, SharedBinRow


def shared_bin(session: Session, bin_id: int) -> SharedBinRow:
    """A bin that several runs fill; MissingError."""
    row = session.get(SharedBinRow, bin_id)
    if row is None:
        raise MissingError
    return row


def open_shared_bins(session: Session) -> list[SharedBinRow]:
    """Those not weighed yet, the oldest first."""
    query = select(SharedBinRow).where(col(SharedBinRow.gross_g).is_(None)).order_by(col(SharedBinRow.id))
    return list(session.exec(query))


def weighed_shared_bins(session: Session, most: int) -> list[SharedBinRow]:
    """Those weighed last, the newest first."""
    weighed = col(SharedBinRow.gross_g).is_not(None)
    query = (
        select(SharedBinRow).where(weighed).order_by(col(SharedBinRow.weighed_at).desc(), col(SharedBinRow.id).desc())
    )
    return list(session.exec(query.limit(most)))


def shared_bins_of(session: Session, person: Person, run: RunWhole) -> list[SharedBin]:
    """The shared bins that a run used, each with what it is shared by. The other runs that fill them are looked at for
    it: for a balance, not for the board."""
    known = {run.id: run.state}
    return [
        shared_bin_with(shared_bin(session, bin_id), states_filling(session, person, bin_id, known))
        for bin_id in sorted(run.state.shared_bins)
    ]


def states_filling(
    session: Session, person: Person, bin_id: int, known: dict[int, RunState] | None = None
) -> dict[int, RunState]:
    """The runs that fill a bin, by id; those looked at are added to the ``known`` ones."""
    known = {} if known is None else known
    for run_id in _runs_filling(session, bin_id):
        if run_id not in known:
            known[run_id] = run_for(session, person, run_id).state
    return {key: state for key, state in sorted(known.items()) if bin_id in state.shared_bins}


def shared_bin_with(row: SharedBinRow, states: Mapping[int, RunState]) -> SharedBin:
    """A bin with what these runs have of it."""
    net_g = None if row.gross_g is None else row.gross_g - (row.tare_g or 0)
    rule = Rule(row.rule)
    return SharedBin(
        row.id or 0, row.outlet_id, rule, {key: _weight(each, rule) for key, each in states.items()}, net_g
    )


def _weight(state: RunState, rule: Rule) -> int:
    """What of a shared bin falls to a run by the bin's own rule: its bins, or the net of them."""
    by_rule = replace(state, started=replace(state.started, rule=rule))
    return sum(load_weights(by_rule).values())


def _runs_filling(session: Session, bin_id: int) -> list[int]:
    query = (
        select(RunEvent.run_id)
        .join(Run, col(Run.id) == RunEvent.run_id)
        .where(RunEvent.shared_bin_id == bin_id, col(Run.voided_at).is_(None))
        .distinct()
    )
    return list(session.exec(query))
