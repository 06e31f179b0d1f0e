"""Bins of an outlet that several runs fill: opened, and weighed when they are full."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from shedgrade.storage.stale import change_of
from shedgrade.storage.tables import SharedBinRow


def open_shared_bin(
    session: Session, outlet_id: str, label: str, rule: Rule, person_id: int, now: datetime
) -> SharedBinRow:
    """Begin a bin of an outlet that several runs fill; shared by net or by bins. RefusedError for another rule."""
    if rule is Rule.PARTS:
        raise RefusedError("A bin of several runs is shared by their net weight or by their bins.")
    row = SharedBinRow(outlet_id=outlet_id, label=label, rule=rule.value, opened_at=now, opened_by_id=person_id)
    session.add(row)
    session.flush()
    return row


@dataclass(frozen=True, slots=True)
class BinWeight:
    """What a shared bin weighed with its fruit, and empty."""

    gross_g: int
    tare_g: int


def weigh_shared_bin(
    session: Session, row: SharedBinRow, weight: BinWeight, version: int, person_id: int, now: datetime
) -> None:
    """Weigh a shared bin, or put its weight right; StaleError if somebody saved meanwhile, RefusedError for a weight
    that cannot be. Finished runs get their share too."""
    if weight.tare_g < 0 or weight.gross_g <= weight.tare_g:
        raise RefusedError("The bin weighs more with its fruit than empty: check both weights.")
    change_of(row, version)
    row.gross_g, row.tare_g, row.weighed_at, row.weighed_by_id = weight.gross_g, weight.tare_g, now, person_id
    session.add(row)
    session.flush()
