"""Taking growers and blocks into the books, and changing what is written there."""

from dataclasses import dataclass

from sqlmodel import Session, col, select

from shedgrade.domain.names import name_among
from shedgrade.storage.stale import change_of
from shedgrade.storage.tables import Block, Grower


class NameTakenError(ValueError):
    """Another row has this name already."""


@dataclass(frozen=True, slots=True)
class BlockFacts:
    """What is written about a block."""

    name: str
    crop_id: str
    variety: str
    area_m2: int
    grown_in: str = ""


def add_grower(session: Session, name: str, contact: str) -> Grower:
    """Take a grower into the books; NameTakenError if the name is there already."""
    _refuse_taken_grower(session, name)
    grower = Grower(name=name, contact=contact)
    session.add(grower)
    session.flush()
    return grower


def change_grower(session: Session, grower: Grower, name: str, contact: str, version: int) -> None:
    """Write a grower's new name and contact; StaleError if somebody saved meanwhile."""
    _refuse_taken_grower(session, name, but=grower.id)
    change_of(grower, version)
    grower.name, grower.contact = name, contact
    session.add(grower)


def add_block(session: Session, grower_id: int, facts: BlockFacts) -> Block:
    """Take a grower's block into the books; NameTakenError if that grower has one of the name."""
    _refuse_taken_block(session, grower_id, facts.name)
    block = Block(
        grower_id=grower_id,
        name=facts.name,
        crop_id=facts.crop_id,
        variety=facts.variety,
        area_m2=facts.area_m2,
        grown_in=facts.grown_in,
    )
    session.add(block)
    session.flush()
    return block


def change_block(session: Session, block: Block, facts: BlockFacts, version: int) -> None:
    """Write a block's new facts; StaleError if somebody saved meanwhile."""
    _refuse_taken_block(session, block.grower_id, facts.name, but=block.id)
    change_of(block, version)
    block.name, block.crop_id, block.variety, block.area_m2 = facts.name, facts.crop_id, facts.variety, facts.area_m2
    block.grown_in = facts.grown_in
    session.add(block)


def _refuse_taken_grower(session: Session, name: str, but: int | None = None) -> None:
    other = name_among(name, session.exec(select(Grower.name).where(col(Grower.id) != (but or 0))))
    if other is not None:
        raise NameTakenError(f"There is a grower called {other} already. Give another name.")


def _refuse_taken_block(session: Session, grower_id: int, name: str, but: int | None = None) -> None:
    query = select(Block.name).where(Block.grower_id == grower_id, col(Block.id) != (but or 0))
    other = name_among(name, session.exec(query))
    if other is not None:
        raise NameTakenError(f"This grower has a block called {other} already. Give another name.")
