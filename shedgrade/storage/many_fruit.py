"""The fruit of a sample as columns, straight from the rows: a hundred thousand of them need no object each."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import sqlalchemy
from sqlalchemy import func
from sqlmodel import Session, SQLModel

from shedgrade.domain.grading.many.columns import MEASURE_NOT_TAKEN, NOT_TAKEN, Columns, Marks, taken_of_any
from shedgrade.domain.grading.many.from_fruit import places_of
from shedgrade.storage.samples import states_in

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Ints

# Plain tables, not classes: making rows of them would take as long as all the rest.
_TABLES = SQLModel.metadata.tables
_FRUIT, _DEFECT, _MEASURE = _TABLES["fruit"], _TABLES["fruit_defect"], _TABLES["fruit_measure"]


@dataclass(frozen=True, slots=True, eq=False)
class SampleColumns:
    """The fruit of a sample that count, with the draw of each; ``rows`` is how many were entered, voided ones too."""

    columns: Columns
    draw_ids: tuple[int, ...]
    rows: int


def sample_columns(session: Session, sample_id: int, looked_for: frozenset[str] | None) -> SampleColumns:
    """The fruit of a sample by four questions: the fruit, their marks, their measures, and how many were entered."""
    import numpy as np  # noqa: PLC0415

    fruit, here = _FRUIT.c, _FRUIT.c.sample_id == sample_id
    counting = here & fruit.voided_at.is_(None)
    stage = func.coalesce(fruit.stage, NOT_TAKEN)
    asked = sqlalchemy.select(fruit.id, fruit.draw_id, fruit.weight_dg, stage, fruit.size_code)
    found, draw_ids, weights, stages, codes = _columns(session, asked.where(counting).order_by(fruit.id), 5)
    ids = np.array(found, dtype=int)
    marks, words = _marks(session, ids, counting)
    label, labels = places_of(codes)
    columns = Columns(
        weight_dg=np.array(weights, dtype=int),
        stage=np.array(stages, dtype=int),
        marks=marks,
        looked_for=(looked_for,),
        measures=_measures(session, ids, counting),
        states=words,
        label=label,
        labels=labels,
    )
    rows = session.execute(sqlalchemy.select(func.count()).select_from(_FRUIT).where(here)).scalar_one()
    return SampleColumns(columns, draw_ids, rows)


def _columns(session: Session, asked: "sqlalchemy.Select[Any]", number: int) -> tuple[tuple[Any, ...], ...]:
    """What was found, column by column."""
    return tuple(zip(*session.connection().execute(asked).all(), strict=True)) or ((),) * number


def _marks(
    session: Session, ids: "Ints", counting: sqlalchemy.ColumnElement[bool]
) -> tuple[dict[str, Marks], tuple[str, ...]]:
    """The marks by kind, and the words of their states."""
    import numpy as np  # noqa: PLC0415

    mark = _DEFECT.c
    figures = [func.coalesce(each, NOT_TAKEN) for each in (mark.area_mm2, mark.share_bp, mark.length_dmm, mark.places)]
    asked = sqlalchemy.select(mark.kind, mark.states, mark.fruit_id, *figures)
    found = asked.join(_FRUIT, _FRUIT.c.id == mark.fruit_id).where(counting).order_by(mark.fruit_id)
    kinds, states, *numbers = _columns(session, found, 7)
    said = {text: states_in(text) for text in set(states)}
    words = tuple(sorted({word for of in said.values() for word in of or ()}))
    bits = {text: NOT_TAKEN if of is None else sum(1 << words.index(word) for word in of) for text, of in said.items()}
    fruit_ids, *columns = (np.array(of, dtype=int) for of in (*numbers, [bits[text] for text in states]))
    rows = np.searchsorted(ids, fruit_ids)

    def of_kind(here: "Ints") -> Marks:
        return Marks(rows[here], *(taken_of_any(of[here]) for of in columns))

    return {kind: of_kind(here) for kind, here in _by_word(kinds)}, words


def _measures(session: Session, ids: "Ints", counting: sqlalchemy.ColumnElement[bool]) -> "dict[str, Ints]":
    """What else was taken, by measure."""
    import numpy as np  # noqa: PLC0415

    asked = sqlalchemy.select(_MEASURE.c.measure, _MEASURE.c.fruit_id, _MEASURE.c.value)
    found = asked.join(_FRUIT, _FRUIT.c.id == _MEASURE.c.fruit_id).where(counting)
    names, fruit_ids, values = _columns(session, found, 3)
    rows, figures = np.searchsorted(ids, np.array(fruit_ids, dtype=int)), np.array(values, dtype=int)
    measures = {}
    for name, here in _by_word(names):
        measures[name] = np.full(len(ids), MEASURE_NOT_TAKEN)
        measures[name][rows[here]] = figures[here]
    return measures


def _by_word(words: Sequence[str]) -> "Iterator[tuple[str, Ints]]":
    """Each different word and the places where it stands."""
    import numpy as np  # noqa: PLC0415

    place, different = places_of(words)
    for number, word in enumerate(different):
        yield word, np.flatnonzero(place == number)
