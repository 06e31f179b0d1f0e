"""Growers and blocks, each person's own only."""

from dataclasses import dataclass

from sqlmodel import Session, col, select
from sqlmodel.sql.expression import SelectOfScalar

from shedgrade.domain.people import Deed, Person
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import Block, Grower


@dataclass(frozen=True, slots=True)
class BlockOfGrower:
    """A block with its grower's name."""

    block: Block
    grower: Grower


def growers_for(session: Session, person: Person) -> list[Grower]:
    """The growers this person may see, by name."""
    return list(session.exec(_only_own_growers(select(Grower), person).order_by(Grower.name)))


def grower_for(session: Session, person: Person, grower_id: int) -> Grower:
    """One grower; MissingError if there is none this person may see."""
    grower = session.exec(_only_own_growers(select(Grower), person).where(Grower.id == grower_id)).first()
    if grower is None:
        raise MissingError
    return grower


def blocks_for(session: Session, person: Person, grower_id: int | None = None) -> list[BlockOfGrower]:
    """The blocks this person may see, by grower and name; one grower's, if one is named."""
    query = select(Block, Grower).join(Grower).order_by(Grower.name, Block.name)
    if not person.may(Deed.SEE_SHED):
        query = query.where(col(Block.grower_id) == (person.grower_id or 0))
    if grower_id is not None:
        query = query.where(col(Block.grower_id) == grower_id)
    return [BlockOfGrower(block, grower) for block, grower in session.exec(query)]


def block_for(session: Session, person: Person, block_id: int) -> BlockOfGrower:
    """One block with its grower; MissingError if there is none this person may see."""
    query = select(Block, Grower).join(Grower).where(Block.id == block_id)
    if not person.may(Deed.SEE_SHED):
        query = query.where(col(Block.grower_id) == (person.grower_id or 0))
    row = session.exec(query).first()
    if row is None:
        raise MissingError
    return BlockOfGrower(*row)


def _only_own_growers(query: SelectOfScalar[Grower], person: Person) -> SelectOfScalar[Grower]:
    return query if person.may(Deed.SEE_SHED) else query.where(col(Grower.id) == (person.grower_id or 0))
