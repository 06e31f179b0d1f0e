"""Starting samples, opening draws, and storing measured fruit one at a time."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import update
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Session, SQLModel, col, insert, select

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.sampling.question import Question
from shedgrade.storage.bench import BenchSample, MeasuredFruit, draw_name, fruit_of_key, fruit_with, undrawn_bins
from shedgrade.storage.history import note
from shedgrade.storage.tables import Draw, FruitRow, Sample

UNDONE = "undone at the bench"


class NoBinLeftError(Exception):
    """Every bin of the consignment is drawn already."""


class EntryKeyTakenError(Exception):
    """The form was stored before with other content; ``stored`` is what stands."""

    def __init__(self, stored: MeasuredFruit) -> None:
        """Give what stands."""
        super().__init__(stored.number)
        self.stored = stored


class VoidedAlreadyError(Exception):
    """The fruit was voided before, for another reason; ``stored`` is what stands."""

    def __init__(self, stored: MeasuredFruit) -> None:
        """Give what stands."""
        super().__init__(stored.number)
        self.stored = stored


@dataclass(frozen=True, slots=True)
class FruitEntry:
    """A fruit about to be stored: as measured, from which form, by whom and when. ``draw_id`` None is the draw
    opened last."""

    fruit: Fruit
    size_code: str | None
    entry_key: str
    person_id: int
    at: datetime
    draw_id: int | None = None


class OpenDraw(NamedTuple):
    """A draw that fruit can be put into."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Stored:
    """A fruit that stands in the database; ``is_new`` False if this very form had stored it before."""

    fruit_id: int
    number: int
    draw_id: int
    draw_name: str
    is_new: bool


def start_sample(
    session: Session, consignment_id: int, question: Question, tray_type_id: int | None, person_id: int, now: datetime
) -> Sample:
    """Begin a sample of a consignment; its first draw is opened by its first fruit, or by ``next_draw``."""
    sample = Sample(
        consignment_id=consignment_id,
        question=question.value,
        tray_type_id=tray_type_id,
        started_at=now,
        started_by_id=person_id,
    )
    session.add(sample)
    session.flush()
    return sample


def next_draw(session: Session, sample: BenchSample) -> OpenDraw:
    """Open the next draw: of intake the lowest numbered bin not drawn yet; NoBinLeftError."""
    question = Question(sample.question)
    number = sample.draw_number + 1
    bin_id, label = None, f"{question.draw_word} {number}"
    if question is Question.INTAKE:
        bins = undrawn_bins(session, sample.id)
        if bins:
            bin_id, label = bins[0].id, bins[0].label or f"bin {bins[0].number}"
        elif sample.draw_number:
            raise NoBinLeftError
    values = {"sample_id": sample.id, "number": number, "bin_id": bin_id, "label": label}
    draw_id = session.execute(insert(Draw).values(values).returning(col(Draw.id))).scalar_one()
    return OpenDraw(draw_id, label)


def save_fruit(session: Session, sample: BenchSample, entry: FruitEntry) -> Stored:
    """Store one fruit of a sample that was loaded with its lock. Sent twice it is stored once; EntryKeyTakenError
    if the first sending held another fruit."""
    draw = _draw_for(session, sample, entry.draw_id)
    number = sample.fruit + 1
    connection = session.connection()
    statement = _NEW_FRUIT[connection.dialect.name]
    fruit_id = connection.execute(statement, _fruit_values(sample.id, draw.id, number, entry)).scalar_one_or_none()
    if fruit_id is None:
        return _stored_before(session, sample, entry)
    if entry.fruit.defects:
        connection.execute(_NEW_DEFECTS, defect_rows(fruit_id, entry.fruit.defects))
    return Stored(fruit_id, number, draw.id, draw.name, is_new=True)


def void_fruit(session: Session, fruit_id: int, reason: str, person_id: int, now: datetime) -> None:
    """Make a fruit count no longer; it stays to be seen. VoidedAlreadyError if it was voided for another reason."""
    voiding = (
        update(FruitRow)
        .where(col(FruitRow.id) == fruit_id, col(FruitRow.voided_at).is_(None))
        .values(voided_at=now, voided_by_id=person_id, void_reason=reason)
        .returning(col(FruitRow.number))
    )
    number = session.execute(voiding).scalar_one_or_none()
    if number is not None:
        note(session, "fruit", fruit_id, {"number": number}, deed="voided", why=reason)
        return
    stored = fruit_with(session, fruit_id)
    if stored.voided is not None and stored.voided.reason != reason:
        raise VoidedAlreadyError(stored)


def defect_rows(fruit_id: int, defects: tuple[Defect, ...]) -> list[dict[str, Any]]:
    """The rows of a fruit's defects."""
    return [
        {
            "fruit_id": fruit_id,
            "place": place,
            "kind": defect.kind,
            "area_mm2": defect.area_mm2,
            "share_bp": defect.share_bp,
        }
        for place, defect in enumerate(defects, 1)
    ]


def _draw_for(session: Session, sample: BenchSample, draw_id: int | None) -> OpenDraw:
    """The draw named if it is one of this sample, else the one opened last, else a new one."""
    if draw_id and draw_id != sample.draw_id:
        named = select(Draw.label, Draw.number).where(Draw.id == draw_id, Draw.sample_id == sample.id)
        if found := session.exec(named).first():
            return OpenDraw(draw_id, draw_name(*found))
    return OpenDraw(sample.draw_id, sample.draw_name) if sample.draw_id else next_draw(session, sample)


def _fruit_values(sample_id: int, draw_id: int, number: int, entry: FruitEntry) -> dict[str, Any]:
    return {
        "sample_id": sample_id,
        "draw_id": draw_id,
        "number": number,
        "weight_dg": entry.fruit.weight_dg,
        "stage": entry.fruit.stage,
        "size_code": entry.size_code,
        "entry_key": entry.entry_key,
        "measured_at": entry.at,
        "measured_by_id": entry.person_id,
        "void_reason": "",
    }


# Built once, on the tables and not the classes: a fruit is stored two to three times as fast. The database itself
# drops a form that comes a second time, whatever else happens at the same moment.
_FRUIT, _DEFECT = SQLModel.metadata.tables["fruit"], SQLModel.metadata.tables["fruit_defect"]
_NEW_FRUIT = {
    "sqlite": sqlite.insert(_FRUIT).on_conflict_do_nothing(index_elements=["entry_key"]).returning(_FRUIT.c.id),
    "postgresql": postgresql.insert(_FRUIT).on_conflict_do_nothing(index_elements=["entry_key"]).returning(_FRUIT.c.id),
}
_NEW_DEFECTS = _DEFECT.insert()


def _stored_before(session: Session, sample: BenchSample, entry: FruitEntry) -> Stored:
    stored = fruit_of_key(session, entry.entry_key)
    assert stored is not None
    facts = (stored.sample_id, stored.size_code, stored.fruit.weight_dg, stored.fruit.stage, stored.fruit.defects)
    sent = (sample.id, entry.size_code, entry.fruit.weight_dg, entry.fruit.stage, entry.fruit.defects)
    if facts != sent:
        raise EntryKeyTakenError(stored)
    return Stored(stored.id, stored.number, stored.draw_id, stored.draw_name, is_new=False)
