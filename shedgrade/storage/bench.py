"""What the bench asks of the database, in as few questions as it can: it has ten seconds a fruit."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

import sqlalchemy
from sqlalchemy import func
from sqlalchemy.orm import aliased
from sqlmodel import Session, SQLModel, col

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.people import Doer
from shedgrade.storage.missing import MissingError
from shedgrade.storage.samples import defects_by_fruit, looked_for, measures_by_fruit
from shedgrade.storage.tables import Bin, Draw, FruitRow, PersonRow, Sample
from shedgrade.storage.voided import Voided


class OpenDraw(NamedTuple):
    """A draw that fruit can be put into, and the bin it is taken from; no bin is id None, number 0."""

    id: int
    name: str
    bin_id: int | None = None
    bin_number: int = 0


class SampleBin(NamedTuple):
    """A bin of a sample's consignment, the draw taken from it, if any, and how many fruit that holds, voided ones too:
    they were drawn."""

    id: int
    number: int
    label: str
    draw_id: int | None
    fruit: int

    @property
    def name(self) -> str:
        """What its draw is called."""
        return self.label or f"bin {self.number}"


@dataclass(frozen=True, slots=True)
class BenchSample:
    """A sample as the bench needs it. ``fruit`` rows were entered so far (numbered without gaps), ``voided`` of them
    do not count; ``draw`` is the one gone to last, None before the first. ``sample_voided`` says that nothing of it
    counts. ``load_state`` changes with everything that the fruit of its load share."""

    id: int
    question: str
    origin: str
    looked_for: frozenset[str] | None
    tray_type_id: int | None
    tray_version: int
    consignment_id: int
    consignment_name: str
    spec_version_id: int
    block_name: str
    grower_name: str
    draw: OpenDraw | None
    fruit: int
    voided: int
    consignment_voided: bool
    sample_voided: Voided | None
    load_state: tuple[int, ...]
    started_at: datetime

    @property
    def mark(self) -> str:
        """What tells it from another sample that a server restored from a backup has given the same id. Nothing that
        can be corrected is in it: a tablet may bring it back days later."""
        return f"{self.started_at:%Y-%m-%dT%H:%M:%S.%fZ}"

    def bears(self, mark: str) -> bool:
        """Whether an entry's mark is this sample's. Tablets once put the name of the consignment before it, as it was
        called then."""
        return mark.rpartition(" ")[2] == self.mark


@dataclass(frozen=True, slots=True)
class MeasuredFruit:
    """One fruit of a sample as it was entered; ``voided`` says if it no longer counts."""

    id: int
    number: int
    sample_id: int
    draw_id: int
    draw_name: str
    fruit: Fruit
    size_code: str | None
    measured_by: Doer
    measured_by_id: int
    measured_at: datetime
    voided: Voided | None
    entry_key: str


def bench_sample(session: Session, sample_id: int, *, lock: bool = False) -> BenchSample:
    """A sample for somebody who may grade; MissingError. ``lock`` makes others wait who enter fruit of it as well,
    where the database can have two writers."""
    statement = _BENCH_SAMPLE_LOCKED if lock else _BENCH_SAMPLE
    row = session.connection().execute(statement, {"sample_id": sample_id}).first()
    if row is None:
        raise MissingError
    return BenchSample(
        id=row[0],
        question=row[1],
        origin=row[2],
        looked_for=looked_for(row[3]),
        tray_type_id=row[4],
        tray_version=row[5],
        consignment_id=row[6],
        consignment_name=f"{row[7]}-{row[8]}",
        spec_version_id=row[9],
        block_name=row[10],
        grower_name=row[11],
        draw=_open_draw(*row[12:17]) if row[12] else None,
        fruit=row[17],
        voided=row[18],
        consignment_voided=row[19] is not None,
        sample_voided=Voided(Doer(row[22], row[23]), row[20], row[21]) if row[20] is not None else None,
        load_state=tuple(row[24:27]),
        started_at=row[27],
    )


def _open_draw(draw_id: int, number: int, label: str, bin_id: int | None, bin_number: int | None) -> OpenDraw:
    return OpenDraw(draw_id, draw_name(label, number), bin_id, bin_number or 0)


def draw_name(label: str, number: int) -> str:
    """What a draw is called."""
    return label or f"draw {number}"


def _statement() -> sqlalchemy.Select[Any]:
    """Plain tables, not classes, and built once: putting a question together took longer than its answer."""
    tables = SQLModel.metadata.tables
    sample, draw, fruit = tables["sample"].c, tables["draw"], tables["fruit"].c
    consignment, docket, block, tray = (tables[name].c for name in ("consignment", "docket", "block", "tray_type"))
    grower, bins, person = (tables[name].c for name in ("grower", "bin", "person"))
    test = tables["maturity_test"].c
    of_load = test.consignment_id == consignment.id
    last_turn = sqlalchemy.select(func.max(draw.c.turn)).where(draw.c.sample_id == sample.id).scalar_subquery()
    of_sample = fruit.sample_id == sample.id
    return (
        sqlalchemy.select(
            sample.id,
            sample.question,
            sample.origin,
            sample.looked_for,
            sample.tray_type_id,
            func.coalesce(tray.version, 0),
            sample.consignment_id,
            docket.number,
            consignment.line,
            consignment.spec_version_id,
            block.name,
            grower.name,
            draw.c.id,
            draw.c.number,
            draw.c.label,
            draw.c.bin_id,
            bins.number,
            func.coalesce(sqlalchemy.select(func.max(fruit.number)).where(of_sample).scalar_subquery(), 0),
            sqlalchemy.select(func.count(fruit.voided_at)).where(of_sample).scalar_subquery(),
            consignment.voided_at,
            sample.voided_at,
            sample.void_reason,
            person.name,
            person.grower_id,
            # Maturity tests are voided, never deleted or changed, so two counts say which state they are in.
            block.version,
            sqlalchemy.select(func.count(test.id)).where(of_load).scalar_subquery(),
            sqlalchemy.select(func.count(test.voided_at)).where(of_load).scalar_subquery(),
            sample.started_at,
        )
        .select_from(tables["sample"])
        .join(tables["consignment"], consignment.id == sample.consignment_id)
        .join(tables["docket"], docket.id == consignment.docket_id)
        .join(tables["block"], block.id == consignment.block_id)
        .join(tables["grower"], grower.id == block.grower_id)
        .join(tables["person"], person.id == sample.voided_by_id, isouter=True)
        .join(tables["tray_type"], tray.id == sample.tray_type_id, isouter=True)
        .join(
            draw,
            (draw.c.sample_id == sample.id) & (draw.c.turn == last_turn.correlate(tables["sample"])),
            isouter=True,
        )
        .join(tables["bin"], bins.id == draw.c.bin_id, isouter=True)
        .where(sample.id == sqlalchemy.bindparam("sample_id"))
    )


_BENCH_SAMPLE = _statement()
_BENCH_SAMPLE_LOCKED = _BENCH_SAMPLE.with_for_update(of=SQLModel.metadata.tables["sample"])


def last_fruit(session: Session, sample_id: int, most: int) -> list[MeasuredFruit]:
    """The fruit entered last, the newest first, voided ones too."""
    query = _MEASURED.where(col(FruitRow.sample_id) == sample_id).order_by(col(FruitRow.number).desc()).limit(most)
    return _measured(session, query)


def fruit_after(session: Session, sample_id: int, after: int, most: int) -> list[MeasuredFruit]:
    """The fruit numbered above ``after``, in order, at most so many; voided ones too."""
    query = _MEASURED.where(col(FruitRow.sample_id) == sample_id, col(FruitRow.number) > after)
    return _measured(session, query.order_by(col(FruitRow.number)).limit(most))


def fruit_with(session: Session, fruit_id: int) -> MeasuredFruit:
    """One fruit; MissingError. The sample's own loader says who may see it."""
    found = _measured(session, _MEASURED.where(col(FruitRow.id) == fruit_id))
    if not found:
        raise MissingError
    return found[0]


def last_voided(session: Session, sample_id: int) -> MeasuredFruit | None:
    """The fruit of the sample that was voided last, if any was."""
    query = _MEASURED.where(col(FruitRow.sample_id) == sample_id, col(FruitRow.voided_at).is_not(None))
    found = _measured(session, query.order_by(col(FruitRow.voided_at).desc(), col(FruitRow.id).desc()).limit(1))
    return found[0] if found else None


def fruit_of_key(session: Session, entry_key: str) -> MeasuredFruit | None:
    """The fruit stored from a form with this key."""
    found = _measured(session, _MEASURED.where(col(FruitRow.entry_key) == entry_key))
    return found[0] if found else None


def bins_of_sample(session: Session, sample_id: int) -> list[SampleBin]:
    """The bins of the sample's consignment, by number, with what was drawn from each for this sample."""
    query = (
        sqlalchemy.select(
            col(Bin.id), col(Bin.number), col(Bin.label), func.max(col(Draw.id)), func.count(col(FruitRow.id))
        )
        .join(Sample, col(Sample.consignment_id) == Bin.consignment_id)
        .join(Draw, (col(Draw.bin_id) == Bin.id) & (col(Draw.sample_id) == Sample.id), isouter=True)
        .join(FruitRow, col(FruitRow.draw_id) == Draw.id, isouter=True)
        .where(col(Sample.id) == sample_id)
        .group_by(col(Bin.id), col(Bin.number), col(Bin.label))
        .order_by(col(Bin.number))
    )
    return [SampleBin(*row) for row in session.execute(query)]


def draw_of(session: Session, sample_id: int, draw_id: int) -> OpenDraw | None:
    """One draw of the sample; None if the sample has no such draw."""
    query = (
        sqlalchemy.select(col(Draw.id), col(Draw.number), col(Draw.label), col(Draw.bin_id), col(Bin.number))
        .join(Bin, col(Bin.id) == Draw.bin_id, isouter=True)
        .where(col(Draw.id) == draw_id, col(Draw.sample_id) == sample_id)
    )
    row = session.execute(query).first()
    return None if row is None else _open_draw(*row)


def holds_fruit(session: Session, draw_id: int) -> bool:
    """Whether any fruit was put into the draw, voided ones too."""
    query = sqlalchemy.select(col(FruitRow.id)).where(col(FruitRow.draw_id) == draw_id).limit(1)
    return session.execute(query).first() is not None


_VOIDED_BY = aliased(PersonRow)
_MEASURED = (
    sqlalchemy.select(
        col(FruitRow.id),
        col(FruitRow.number),
        col(FruitRow.sample_id),
        col(FruitRow.draw_id),
        col(Draw.label),
        col(FruitRow.weight_dg),
        col(FruitRow.stage),
        col(FruitRow.size_code),
        col(Sample.looked_for),
        col(PersonRow.name),
        col(FruitRow.measured_at),
        col(_VOIDED_BY.name),
        col(FruitRow.voided_at),
        col(FruitRow.void_reason),
        col(Draw.number),
        col(PersonRow.grower_id),
        col(_VOIDED_BY.grower_id),
        col(PersonRow.id),
        col(FruitRow.entry_key),
    )
    .join(Draw, col(Draw.id) == FruitRow.draw_id)
    .join(Sample, col(Sample.id) == FruitRow.sample_id)
    .join(PersonRow, col(PersonRow.id) == FruitRow.measured_by_id)
    .join(_VOIDED_BY, col(_VOIDED_BY.id) == FruitRow.voided_by_id, isouter=True)
)


def _measured(session: Session, query: sqlalchemy.Select[*tuple[object, ...]]) -> list[MeasuredFruit]:
    rows = session.execute(query).all()
    if not rows:
        return []
    these = col(FruitRow.id).in_([row[0] for row in rows])
    defects, measures = defects_by_fruit(session, these), measures_by_fruit(session, these)
    return [
        MeasuredFruit(
            id=row[0],
            number=row[1],
            sample_id=row[2],
            draw_id=row[3],
            draw_name=draw_name(row[4], row[14]),
            fruit=Fruit(row[5], row[6], defects.get(row[0], ()), looked_for(row[8]), measures.get(row[0], ())),
            size_code=row[7],
            measured_by=Doer(row[9], row[15]),
            measured_by_id=row[17],
            measured_at=row[10],
            voided=Voided(Doer(row[11], row[16]), row[12], row[13]) if row[12] is not None else None,
            entry_key=row[18],
        )
        for row in rows
    ]
