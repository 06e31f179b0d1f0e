"""Which values of a spec version somebody has read where they were given from memory."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session, col, select

from shedgrade.domain.people import Doer
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import PersonRow, SpecConfirmation


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A confirmation that stands, and whose it is."""

    row: SpecConfirmation
    by: Doer


def confirmed_of(session: Session, spec_version_id: int) -> Mapping[str, Confirmed]:
    """The confirmations of a version that stand, by the place of their value."""
    query = (
        select(SpecConfirmation, PersonRow)
        .join(PersonRow, col(PersonRow.id) == SpecConfirmation.confirmed_by_id)
        .where(SpecConfirmation.spec_version_id == spec_version_id, col(SpecConfirmation.withdrawn_at).is_(None))
        .order_by(col(SpecConfirmation.id))
    )
    found = session.exec(query)
    return {row.place: Confirmed(row, Doer(person.name, person.grower_id)) for row, person in found}


def confirmation(session: Session, confirmation_id: int) -> SpecConfirmation:
    """One confirmation, withdrawn or not; MissingError if there is none of that id."""
    row = session.get(SpecConfirmation, confirmation_id)
    if row is None:
        raise MissingError
    return row
