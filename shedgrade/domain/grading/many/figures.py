"""Figures of many fruit, and those that stand in a column as they are."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain.crop import TakenOn
from shedgrade.domain.grading.many.columns import MEASURE_NOT_TAKEN, NOT_TAKEN, Columns
from shedgrade.domain.grading.many.whole import ints
from shedgrade.domain.grading.plan import Plan
from shedgrade.domain.grading.takes import Extent, Taken
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools, Bytes, Ints

EXACT, AT_LEAST, MORE_THAN, UP_TO = (each.value for each in Extent)


@dataclass(frozen=True, eq=False)
class Figures:
    """One figure of n fruit, ``num / den`` in base units: ``num`` (n,), ``den`` one number or (n,), over 0.

    ``extent`` int8 (n,) holds values of ``Extent``; None: all exact. ``most`` is like num and den, and says something
    where the extent is UP_TO. ``same``: all fruit have the same figure.
    """

    num: "Ints"
    den: "Ints | int" = 1
    extent: "Bytes | None" = None
    most: "tuple[Ints, Ints | int] | None" = None
    same: bool = False

    @cached_property
    def inexact(self) -> "tuple[Ints, Figures] | None":
        """The places of the fruit whose figure is not exact, and their figures; None when there are none."""
        import numpy as np  # noqa: PLC0415

        rows = np.zeros(0, dtype=int) if self.extent is None else np.flatnonzero(self.extent)
        if self.extent is None or not len(rows):
            return None
        most = None if self.most is None else (self.most[0][rows], _part(self.most[1], rows))
        return rows, Figures(self.num[rows], _part(self.den, rows), self.extent[rows], most)

    def at(self, place: int) -> Taken:
        """The figure of one fruit, without the kinds that made it up."""
        extent = Extent(0 if self.extent is None else int(self.extent[place]))
        most = None
        if self.most is not None and extent is Extent.UP_TO:
            most = _at(self.most[0], place), _at(self.most[1], place)
        return Taken(_at(self.num, place), _at(self.den, place), extent, (), most)


def _at(figures: "Ints | int", place: int) -> int:
    return figures if isinstance(figures, int) else int(figures[place])


def _part(figures: "Ints | int", rows: "Ints") -> "Ints | int":
    return figures if isinstance(figures, int) else figures[rows]


class Raw(NamedTuple):
    """A figure by itself: ``num`` (n,) over one denominator, and where it was taken; None: of all."""

    num: "Ints"
    den: int
    taken: "Bools | None"

    def known(self) -> "Ints":
        """The numerators, 0 where it was not taken."""
        return self.num if self.taken is None else self.num * self.taken


def raw(name: str, plan: Plan, columns: Columns) -> Raw:
    """The weight, the colour stage or a measure of the crop; the mean of a load stands for every fruit."""
    import numpy as np  # noqa: PLC0415

    length = len(columns)
    if name == WEIGHT:
        return Raw(columns.weight_dg, 1, None)
    if name == COLOUR_STAGE:
        return Raw(columns.stage, 1, _some(columns.stage != NOT_TAKEN))
    measure = plan.spec.crop.measure(name)
    if measure.on is TakenOn.FRUIT and name in columns.measures:
        return Raw(columns.measures[name], measure.per_base, _some(columns.measures[name] != MEASURE_NOT_TAKEN))
    mean = next((each.mean for each in plan.load.tests if each.measure == name), None)
    if measure.on is TakenOn.FRUIT or mean is None:
        return Raw(np.zeros(length, dtype=int), 1, np.zeros(length, dtype=bool))
    return Raw(np.repeat(ints([mean.numerator]), length), mean.denominator, None)


def _some(taken: "Bools") -> "Bools | None":
    return None if taken.all() else taken


def extent_where(where: "Bools | None", value: int = AT_LEAST) -> "Bytes | None":
    """That extent where it says so, exact elsewhere."""
    import numpy as np  # noqa: PLC0415

    return None if where is None or not where.any() else where.astype(np.int8) * np.int8(value)
