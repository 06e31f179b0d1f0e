"""Columns out of fruit that are objects already."""

from collections.abc import Hashable, Sequence
from typing import TYPE_CHECKING, TypeVar

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.many.columns import MEASURE_NOT_TAKEN, NOT_TAKEN, Columns, Marks, taken_of_any

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Ints

_T = TypeVar("_T", bound=Hashable)


def columns_of(fruit: Sequence[Fruit], codes: Sequence[str | None] = ()) -> Columns:
    """The columns of fruit and of the size codes on their packs, one a fruit; left out: none was named.

    Raises ValueError for a figure of more than 63 bits, and for codes that are not as many as the fruit.
    """
    if codes and len(codes) != len(fruit):
        raise ValueError(
            f"{len(codes)} size codes for {len(fruit)} fruit: give one for each, None where none was named"
        )
    looked, looked_for = _different([one.looked_for for one in fruit])
    label, labels = places_of(codes)
    marks, words = _marks_of(fruit)
    return Columns(
        _column([one.weight_dg for one in fruit]),
        _column([_or_not(one.stage) for one in fruit]),
        marks,
        _column(looked) if len(looked_for) > 1 else None,
        looked_for or (None,),
        _measures_of(fruit),
        words,
        label,
        labels,
    )


def places_of(words: Sequence[str | None]) -> "tuple[Ints | None, tuple[str, ...]]":
    """For each word (n,) its place among the different ones, NOT_TAKEN for None, and these; no array where all are
    None."""
    numbers, different = _different([None, *words])
    named = tuple(word for word in different if word is not None)
    return _column(numbers[1:]) - 1 if named else None, named


def _different(values: "Sequence[_T]") -> "tuple[list[int], tuple[_T, ...]]":
    """For each value its place among the different ones, and these."""
    places: dict[_T, int] = {}
    return [places.setdefault(value, len(places)) for value in values], tuple(places)


def _marks_of(fruit: Sequence[Fruit]) -> tuple[dict[str, Marks], tuple[str, ...]]:
    rows: dict[str, list[int]] = {}
    defects: dict[str, list[Defect]] = {}
    for row, one in enumerate(fruit):
        for defect in one.defects:
            rows.setdefault(defect.kind, []).append(row)
            defects.setdefault(defect.kind, []).append(defect)
    words = tuple(sorted({word for of in defects.values() for mark in of for word in mark.states or ()}))
    bits = {word: 1 << number for number, word in enumerate(words)}
    return {kind: _of_kind(rows[kind], of, bits) for kind, of in defects.items()}, words


def _of_kind(rows: list[int], defects: list[Defect], bits: dict[str, int]) -> Marks:
    states = [None if mark.states is None else sum(bits[word] for word in mark.states) for mark in defects]
    columns = (
        [mark.area_mm2 for mark in defects],
        [mark.share_bp for mark in defects],
        [mark.length_dmm for mark in defects],
        [mark.places for mark in defects],
        states,
    )
    return Marks(_column(rows), *(taken_of_any(_column([_or_not(figure) for figure in of])) for of in columns))


def _measures_of(fruit: Sequence[Fruit]) -> "dict[str, Ints]":
    figures = [dict(one.measures) for one in fruit]
    names = sorted({name for taken in figures for name in taken})
    return {name: _column([taken.get(name, MEASURE_NOT_TAKEN) for taken in figures]) for name in names}


def _column(values: Sequence[int]) -> "Ints":
    import numpy as np  # noqa: PLC0415

    try:
        return np.array(values, dtype=np.int64)
    except OverflowError as error:
        raise ValueError(f"a figure of {max(values, key=abs)} is too large for a column") from error


def _or_not(figure: int | None) -> int:
    return NOT_TAKEN if figure is None else figure
