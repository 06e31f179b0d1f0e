"""Storing a whole file of measured fruit as one sample."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice

from sqlmodel import Session, SQLModel, col, insert, select

from shedgrade.actions.samples import defect_rows, measure_rows
from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.sampling.question import Question
from shedgrade.storage.history import tell
from shedgrade.storage.samples import looked_for_text
from shedgrade.storage.tables import Bin, Draw, FruitRow, Sample

_BATCH = 5_000
# The tables and not the classes: six times as fast for many rows.
_FRUIT, _DEFECT, _MEASURE = (SQLModel.metadata.tables[name] for name in ("fruit", "fruit_defect", "fruit_measure"))


@dataclass(frozen=True, slots=True)
class FruitOfFile:
    """One fruit of a file: the draw it names ("" for the only one), what was measured, its label's size code."""

    draw: str
    fruit: Fruit
    size_code: str | None


@dataclass(frozen=True, slots=True)
class NewFileSample:
    """The sample a file becomes. ``looked_for`` are the defect kinds the file has a column for."""

    consignment_id: int
    question: Question
    tray_type_id: int | None
    looked_for: frozenset[str]
    person_id: int
    at: datetime
    sha256: str


class ReadBeforeError(Exception):
    """The file was read before for this consignment: the sample ``sample_id`` holds it."""

    def __init__(self, sample_id: int) -> None:
        """Give the sample."""
        super().__init__(sample_id)
        self.sample_id = sample_id


def store_file(session: Session, new: NewFileSample, fruit: Sequence[FruitOfFile]) -> int:
    """Store the file's fruit and give the sample's id; ReadBeforeError where a sample that stands holds it. Of two
    stored at the same moment the database refuses the later one."""
    held = select(Sample.id).where(Sample.consignment_id == new.consignment_id, Sample.file_sha256 == new.sha256)
    if before := session.exec(held.where(col(Sample.voided_at).is_(None))).first():
        raise ReadBeforeError(before)
    sample = Sample(
        consignment_id=new.consignment_id,
        question=new.question.value,
        tray_type_id=new.tray_type_id,
        looked_for=looked_for_text(new.looked_for),
        origin="file",
        file_sha256=new.sha256,
        started_at=new.at,
        started_by_id=new.person_id,
    )
    tell(sample, fruit=len(fruit), draws=len({each.draw for each in fruit}))
    session.add(sample)
    session.flush()
    assert sample.id is not None
    draws = _open_draws(session, sample.id, new, list(dict.fromkeys(each.draw for each in fruit)))
    numbered = iter(enumerate(fruit, 1))
    while batch := list(islice(numbered, _BATCH)):
        _store_batch(session, sample.id, new, draws, batch)
    return sample.id


def _open_draws(session: Session, sample_id: int, new: NewFileSample, names: Sequence[str]) -> dict[str, int]:
    """Every draw named, in the order of the file; of intake, one named like a bin of the consignment is that bin."""
    bins = _bins(session, new.consignment_id) if new.question is Question.INTAKE else {}
    rows = [
        {
            "sample_id": sample_id,
            "number": number,
            "turn": number,
            "bin_id": bins.get(name.lower()),
            "label": _label(name, number, new.question),
        }
        for number, name in enumerate(names, 1)
    ]
    session.execute(insert(Draw), rows)
    ids = session.exec(select(Draw.id).where(Draw.sample_id == sample_id).order_by(col(Draw.number)))
    return {name: draw_id for name, draw_id in zip(names, ids, strict=True) if draw_id is not None}


def _bins(session: Session, consignment_id: int) -> dict[str, int | None]:
    bins = session.exec(select(Bin).where(Bin.consignment_id == consignment_id)).all()
    named = {each.label.lower(): each.id for each in bins if each.label}
    numbered = {name: each.id for each in bins for name in (str(each.number), f"bin {each.number}")}
    return {**numbered, **named}


def _label(name: str, number: int, question: Question) -> str:
    if not name:
        return f"{question.draw_word} {number}"
    return f"{question.draw_word} {name}" if name.isdigit() else name


def _store_batch(
    session: Session,
    sample_id: int,
    new: NewFileSample,
    draws: Mapping[str, int],
    batch: list[tuple[int, FruitOfFile]],
) -> None:
    connection = session.connection()
    connection.execute(_FRUIT.insert(), list(_fruit_rows(sample_id, new, draws, batch)))
    first, last = batch[0][0], batch[-1][0]
    found = select(FruitRow.number, FruitRow.id).where(
        FruitRow.sample_id == sample_id, col(FruitRow.number).between(first, last)
    )
    ids = dict(session.exec(found).all())
    defects = [row for number, each in batch for row in defect_rows(ids[number] or 0, each.fruit.defects)]
    if defects:
        connection.execute(_DEFECT.insert(), defects)
    measures = [row for number, each in batch for row in measure_rows(ids[number] or 0, each.fruit.measures)]
    if measures:
        connection.execute(_MEASURE.insert(), measures)


def _fruit_rows(
    sample_id: int, new: NewFileSample, draws: Mapping[str, int], batch: list[tuple[int, FruitOfFile]]
) -> Iterator[dict[str, object]]:
    for number, each in batch:
        yield {
            "sample_id": sample_id,
            "draw_id": draws[each.draw],
            "number": number,
            "weight_dg": each.fruit.weight_dg,
            "stage": each.fruit.stage,
            "size_code": each.size_code,
            "entry_key": f"file {sample_id} {number}",
            "measured_at": new.at,
            "measured_by_id": new.person_id,
            "void_reason": "",
        }
