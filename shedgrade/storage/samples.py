"""Samples, their draws, and the fruit measured in them."""

from collections.abc import Collection
from dataclasses import dataclass

import sqlalchemy
from sqlalchemy import func
from sqlmodel import Session, col

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.people import Deed, Doer, Person
from shedgrade.domain.sampling.question import Question
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import (
    Block,
    Consignment,
    Docket,
    FruitDefect,
    FruitMeasure,
    FruitRow,
    Grower,
    PersonRow,
    Sample,
    TrayTypeRow,
)
from shedgrade.storage.voided import Voided

# No kind's id: a file can hold weights only, and then nobody looked for anything.
_NOTHING = "-"


@dataclass(frozen=True, slots=True)
class SampleWhole:
    """A sample with the consignment it was drawn from."""

    sample: Sample
    consignment: Consignment
    docket: Docket
    block: Block
    grower: Grower

    @property
    def consignment_name(self) -> str:
        """The consignment as people call it: docket number and line."""
        return f"{self.docket.number}-{self.consignment.line}"


@dataclass(frozen=True, slots=True)
class SampleLine:
    """A sample in a list: how many fruit stand in it (voided ones left out), from how many draws they came, and the
    tray they are counted for ("" for none). A voided sample counts nowhere."""

    sample: Sample
    tray_name: str
    fruit: int
    draws: int
    voided_by: Doer | None = None

    @property
    def voided(self) -> bool:
        """Whether the sample counts nowhere."""
        return self.sample.voided_at is not None

    @property
    def question(self) -> Question:
        """What it answers."""
        return Question(self.sample.question)

    @property
    def words(self) -> str:
        """How much was looked at."""
        return self.question.fruit_from(self.fruit, self.draws)


@dataclass(frozen=True, slots=True)
class VoidedLook:
    """A voided sample in which ``fruit`` fruit had been measured: somebody looked, and nothing of it counts."""

    sample_id: int
    fruit: int
    voided: Voided


@dataclass(frozen=True, slots=True)
class DrawnFruit:
    """One fruit that counts, and where it was drawn. ``size_code`` is the one on its pack, if one was named."""

    consignment_id: int
    sample_id: int
    draw_id: int
    fruit_id: int
    number: int
    fruit: Fruit
    size_code: str | None


def looked_for_text(kinds: Collection[str] | None) -> str:
    """The kinds looked for as a sample keeps them; None is every kind of the crop."""
    return "" if kinds is None else " ".join(sorted(kinds)) or _NOTHING


def looked_for(text: str) -> frozenset[str] | None:
    """What ``looked_for_text`` wrote."""
    return None if not text else frozenset(text.split()) - {_NOTHING}


def sample_for(session: Session, person: Person, sample_id: int) -> SampleWhole:
    """One sample; MissingError if there is none this person may see."""
    query = (
        sqlalchemy.select(Sample, Consignment, Docket, Block, Grower)
        .join(Consignment, col(Consignment.id) == Sample.consignment_id)
        .join(Docket, col(Docket.id) == Consignment.docket_id)
        .join(Block, col(Block.id) == Consignment.block_id)
        .join(Grower, col(Grower.id) == Block.grower_id)
        .where(col(Sample.id) == sample_id)
    )
    if not person.may(Deed.SEE_SHED):
        query = query.where(col(Block.grower_id) == (person.grower_id or 0))
    row = session.execute(query).first()
    if row is None:
        raise MissingError
    return SampleWhole(*row)


def samples_of(session: Session, consignment_id: int) -> list[SampleLine]:
    """The samples of a consignment, oldest first, voided ones too. The consignment's own loader says who may see it."""
    counting = (col(FruitRow.sample_id) == Sample.id) & col(FruitRow.voided_at).is_(None)
    query = (
        sqlalchemy.select(
            Sample,
            func.coalesce(col(TrayTypeRow.name), ""),
            func.count(col(FruitRow.id)),
            func.count(sqlalchemy.distinct(col(FruitRow.draw_id))),
            col(PersonRow.name),
            col(PersonRow.grower_id),
        )
        .join(PersonRow, col(PersonRow.id) == Sample.voided_by_id, isouter=True)
        .join(TrayTypeRow, col(TrayTypeRow.id) == Sample.tray_type_id, isouter=True)
        .join(FruitRow, counting, isouter=True)
        .where(col(Sample.consignment_id) == consignment_id)
        .group_by(col(Sample.id), col(TrayTypeRow.name), col(PersonRow.id))
        .order_by(col(Sample.id))
    )
    return [
        SampleLine(sample, tray_name, fruit, draws, Doer(name, grower_id) if name else None)
        for sample, tray_name, fruit, draws, name, grower_id in session.execute(query)
    ]


def voided_looks(session: Session, consignment_ids: Collection[int]) -> dict[int, tuple[VoidedLook, ...]]:
    """By consignment id, its voided intake samples that held fruit, oldest first; one query."""
    query = (
        sqlalchemy.select(
            col(Sample.consignment_id),
            col(Sample.id),
            func.count(col(FruitRow.id)),
            col(PersonRow.name),
            col(PersonRow.grower_id),
            col(Sample.voided_at),
            col(Sample.void_reason),
        )
        .join(PersonRow, col(PersonRow.id) == Sample.voided_by_id)
        .join(FruitRow, col(FruitRow.sample_id) == Sample.id)
        .where(col(Sample.consignment_id).in_(consignment_ids), col(Sample.question) == Question.INTAKE.value)
        .where(col(FruitRow.voided_at).is_(None))
        .group_by(col(Sample.id), col(PersonRow.id))
        .order_by(col(Sample.id))
    )
    found: dict[int, tuple[VoidedLook, ...]] = {}
    for consignment_id, sample_id, fruit, name, grower_id, at, reason in session.execute(query):
        look = VoidedLook(sample_id, fruit, Voided(Doer(name, grower_id), at, reason))
        found[consignment_id] = (*found.get(consignment_id, ()), look)
    return found


def drawn_fruit(session: Session, *, consignment_ids: Collection[int], question: str = "intake") -> list[DrawnFruit]:
    """The fruit that count of all samples of these consignments that answer the question, sample by sample.

    Voided fruit are left out, and all fruit of voided samples. Three queries: the fruit, their defects, their measures.
    """
    asked = (
        col(Sample.consignment_id).in_(consignment_ids),
        col(Sample.question) == question,
        col(Sample.voided_at).is_(None),
    )
    rows = session.execute(
        sqlalchemy.select(
            col(Sample.consignment_id),
            col(FruitRow.sample_id),
            col(FruitRow.draw_id),
            col(FruitRow.id),
            col(FruitRow.number),
            col(FruitRow.size_code),
            col(Sample.looked_for),
            col(FruitRow.weight_dg),
            col(FruitRow.stage),
        )
        .join(Sample, col(Sample.id) == FruitRow.sample_id)
        .where(*asked, col(FruitRow.voided_at).is_(None))
        .order_by(col(FruitRow.sample_id), col(FruitRow.number))
    )
    defects, measures = defects_by_fruit(session, *asked), measures_by_fruit(session, *asked)
    return [
        DrawnFruit(
            consignment_id=row[0],
            sample_id=row[1],
            draw_id=row[2],
            fruit_id=row[3],
            number=row[4],
            size_code=row[5],
            fruit=Fruit(row[7], row[8], defects.get(row[3], ()), looked_for(row[6]), measures.get(row[3], ())),
        )
        for row in rows
    ]


def defects_by_fruit(session: Session, *asked: sqlalchemy.ColumnElement[bool]) -> dict[int, tuple[Defect, ...]]:
    """The defects of the fruit asked for (by conditions on fruit and sample), in the order they were entered."""
    query = (
        sqlalchemy.select(
            col(FruitDefect.fruit_id),
            col(FruitDefect.kind),
            col(FruitDefect.area_mm2),
            col(FruitDefect.share_bp),
            col(FruitDefect.length_dmm),
            col(FruitDefect.places),
            col(FruitDefect.states),
        )
        .join(FruitRow, col(FruitRow.id) == FruitDefect.fruit_id)
        .join(Sample, col(Sample.id) == FruitRow.sample_id)
        .where(*asked)
        .order_by(col(FruitDefect.fruit_id), col(FruitDefect.place))
    )
    found: dict[int, tuple[Defect, ...]] = {}
    for fruit_id, kind, area, share, length, places, states in session.execute(query):
        found[fruit_id] = (*found.get(fruit_id, ()), Defect(kind, area, share, length, places, states_in(states)))
    return found


def measures_by_fruit(
    session: Session, *asked: sqlalchemy.ColumnElement[bool]
) -> dict[int, tuple[tuple[str, int], ...]]:
    """What else was taken of the fruit asked for (by conditions on fruit and sample), by measure."""
    query = (
        sqlalchemy.select(col(FruitMeasure.fruit_id), col(FruitMeasure.measure), col(FruitMeasure.value))
        .join(FruitRow, col(FruitRow.id) == FruitMeasure.fruit_id)
        .join(Sample, col(Sample.id) == FruitRow.sample_id)
        .where(*asked)
        .order_by(col(FruitMeasure.fruit_id), col(FruitMeasure.measure))
    )
    found: dict[int, tuple[tuple[str, int], ...]] = {}
    for fruit_id, measure, value in session.execute(query):
        found[fruit_id] = (*found.get(fruit_id, ()), (measure, value))
    return found


def states_text(states: frozenset[str] | None) -> str | None:
    """The states of a mark as a row keeps them."""
    return None if states is None else " ".join(sorted(states))


def states_in(text: str | None) -> frozenset[str] | None:
    """What ``states_text`` wrote."""
    return None if text is None else frozenset(text.split())
