"""What a bin that several runs fill holds for each of them."""

from dataclasses import dataclass

from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.domain.run.state import RunState
from shedgrade.storage import runs, shared_bins
from shedgrade.storage.specs import spec_of
from shedgrade.storage.tables import SharedBinRow


@dataclass(frozen=True, slots=True)
class BinShare:
    """A run that filled the bin: ``names`` of its consignments, what it counts for (bins, or net in grams), and its
    share in grams, None while the bin is not weighed or nothing was tipped."""

    run_id: int
    names: str
    bins: int
    weight: int
    share_g: int | None


def shares_of(session: Session, person: Person, row: SharedBinRow) -> tuple[BinShare, ...]:
    """What falls to each run, in the order of the runs; they add up to what the bin holds."""
    states = shared_bins.states_filling(session, person, row.id or 0)
    found = shared_bins.shared_bin_with(row, states)
    return tuple(
        BinShare(run_id, _names(state), state.bins_tipped, found.weights[run_id], found.share_of(run_id))
        for run_id, state in states.items()
    )


def outlet_names(session: Session, person: Person) -> dict[str, str]:
    """The outlets that runs still open send fruit to, by id; those that do not count as packed first."""
    heads = runs.runs_for(session, person, open_only=True)
    specs = [spec_of(session, each) for each in dict.fromkeys(head.row.spec_version_id for head in heads)]
    outlets = [each for spec in specs for each in spec.outlets]
    return {each.id: each.name for each in sorted(outlets, key=lambda each: each.packed)}


def _names(state: RunState) -> str:
    return " and ".join(load.name for load in state.loads)
