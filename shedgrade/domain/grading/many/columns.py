"""Many fruit of one load as columns: an array a fact, a place a fruit."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import reduce
from itertools import chain
from typing import TYPE_CHECKING

from shedgrade.domain.grading.facts import Defect, Fruit

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools, Ints


NOT_TAKEN = -1
"""Stands in a column of stages, areas, shares, lengths, places or states for what nobody took."""
MEASURE_NOT_TAKEN = -(2**63)
"""The same in a column of a measure, which may lie below 0."""


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """The marks of one kind, all arrays int64 of shape (m,); NOT_TAKEN stands where nobody measured or looked, None for
    a whole array of it.

    ``rows`` are the places of the fruit, ascending; a fruit with two marks stands there twice. ``area_mm2`` is in mm²,
    ``share_bp`` in basis points of the surface, ``length_dmm`` in tenths of a millimetre, ``places`` a number,
    ``states`` a bit for each word of ``Columns.states``. A mark without any figure was seen, not measured.
    """

    rows: "Ints"
    area_mm2: "Ints | None" = None
    share_bp: "Ints | None" = None
    length_dmm: "Ints | None" = None
    places: "Ints | None" = None
    states: "Ints | None" = None

    @property
    def columns(self) -> "tuple[Ints | None, ...]":
        """Its arrays in their order, without the places."""
        return self.area_mm2, self.share_bp, self.length_dmm, self.places, self.states

    @property
    def single(self) -> bool:
        """Whether no fruit has two of them."""
        return bool((self.rows[1:] > self.rows[:-1]).all())

    def at(self, chosen: "Bools | slice") -> "Marks":
        """Those chosen by an array of shape (m,), or a run of them."""
        return Marks(self.rows[chosen], *(None if column is None else column[chosen] for column in self.columns))

    def where(self, chosen: "Bools") -> "Marks":
        """Those chosen by an array of shape (m,)."""
        return self if chosen.all() else self.at(chosen)

    def there(self) -> "Marks":
        """Those that are there: no figure but 0 says that it was looked for and not found (``Defect.is_there``)."""
        import numpy as np  # noqa: PLC0415

        measured = (self.area_mm2, self.share_bp, self.length_dmm, self.places)
        figures = [column for column in measured if column is not None]
        return self.where(reduce(np.maximum, figures) != 0) if figures else self

    def part(self, first: int, last: int) -> "Marks":
        """Those of the fruit at places from ``first`` to before ``last``, with places counted from there."""
        import numpy as np  # noqa: PLC0415

        begin, end = np.searchsorted(self.rows, [first, last])
        run = self.at(slice(begin, end))
        return replace(run, rows=run.rows - first)


def taken_of_any(column: "Ints") -> "Ints | None":
    """The column, or None where nothing of it was taken."""
    return None if (column == NOT_TAKEN).all() else column


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """The facts of n fruit. What holds for all of them, such as the variety, is said by one ``Load``.

    ``weight_dg`` int64 (n,), tenths of a gram, over 0. ``stage`` int64 (n,), NOT_TAKEN where the colour was not taken.
    ``marks`` by kind. ``looked`` int64 (n,) is the place in ``looked_for`` of the kinds looked for on a fruit (there
    None means all); None: the first holds for all fruit. ``measures`` by the id of the crop's measure int64 (n,),
    stored whole numbers, MEASURE_NOT_TAKEN where not taken. ``states`` are the words of the bits of a mark's states.
    ``label`` int64 (n,) is the place in ``labels`` of the size code on the pack, NOT_TAKEN without one; None: no fruit
    has one.
    """

    weight_dg: "Ints"
    stage: "Ints"
    marks: Mapping[str, Marks] = field(default_factory=dict)
    looked: "Ints | None" = None
    looked_for: tuple[frozenset[str] | None, ...] = (None,)
    measures: "Mapping[str, Ints]" = field(default_factory=dict)
    states: tuple[str, ...] = ()
    label: "Ints | None" = None
    labels: tuple[str, ...] = ()

    def __len__(self) -> int:
        """The number of fruit."""
        return len(self.weight_dg)

    def part(self, first: int, last: int) -> "Columns":
        """The fruit at places from ``first`` to before ``last``."""
        return replace(
            self,
            weight_dg=self.weight_dg[first:last],
            stage=self.stage[first:last],
            marks={kind: marks.part(first, last) for kind, marks in self.marks.items()},
            looked=None if self.looked is None else self.looked[first:last],
            measures={name: figures[first:last] for name, figures in self.measures.items()},
            label=None if self.label is None else self.label[first:last],
        )

    def unseen(self, kinds: tuple[str, ...]) -> "Bools | None":
        """Where one of the kinds was not looked for, bool (n,); None where all were, on every fruit."""
        import numpy as np  # noqa: PLC0415

        missed = [of is not None and not of.issuperset(kinds) for of in self.looked_for]
        if not any(missed):
            return None
        if self.looked is None:
            return np.full(len(self), missed[0])
        return np.array(missed)[self.looked]

    def fruit(self, place: int) -> Fruit:
        """The fruit at a place; its marks stand kind by kind."""
        one = self.part(place, place + 1)
        return Fruit(
            int(one.weight_dg[0]),
            _taken(one.stage[0]),
            tuple(chain.from_iterable(_defects(kind, marks, self.states) for kind, marks in one.marks.items())),
            self.looked_for[0 if one.looked is None else one.looked[0]],
            tuple((name, int(of[0])) for name, of in one.measures.items() if int(of[0]) != MEASURE_NOT_TAKEN),
        )

    def code(self, place: int) -> str | None:
        """The size code on the pack of the fruit at a place."""
        number = None if self.label is None else _taken(self.label[place])
        return None if number is None else self.labels[number]


def _taken(figure: int) -> int | None:
    return None if figure == NOT_TAKEN else int(figure)


def _defects(kind: str, marks: Marks, words: tuple[str, ...]) -> Iterator[Defect]:
    for place in range(len(marks.rows)):
        figures = (None if column is None else _taken(column[place]) for column in marks.columns)
        area, share, length, places, states = figures
        named = None if states is None else frozenset(word for bit, word in enumerate(words) if states >> bit & 1)
        yield Defect(kind, area, share, length, places, named)
