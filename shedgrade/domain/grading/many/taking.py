"""How a figure is got from many fruit: for each ``Take`` the arrays that ``takes`` would give fruit by fruit."""

from fractions import Fraction
from functools import reduce
from math import lcm
from typing import TYPE_CHECKING

from shedgrade.domain.grading.many.columns import Columns, Marks
from shedgrade.domain.grading.many.figures import AT_LEAST, EXACT, UP_TO, Figures, Raw, extent_where, raw
from shedgrade.domain.grading.many.marked import of_marks
from shedgrade.domain.grading.many.steps import steps
from shedgrade.domain.grading.many.whole import look_up, plus, times
from shedgrade.domain.grading.plan import Plan
from shedgrade.domain.grading.takes import Sizes, per_written
from shedgrade.domain.spec.measure import Measure, Take

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Ints


class Taking:
    """The figures of a block of fruit by their place in the plan, each taken when it is first asked for.

    ``size`` (n,) says for each fruit which of ``sizes`` are its size codes.
    """

    def __init__(self, plan: Plan, columns: Columns, sizes: tuple[Sizes, ...], size: "Ints") -> None:
        self.plan = plan
        self.columns = columns
        self.sizes = sizes
        self.size = size
        self._marks: dict[str, Marks] = {}
        self._found: dict[int, Figures] = {}

    def __getitem__(self, place: int) -> Figures:
        """The figures at a place."""
        if place not in self._found:
            self._found[place] = self.of(self.plan.measured[place])
        return self._found[place]

    def of(self, measure: Measure) -> Figures:
        """The figures of a measure that one fruit can have."""
        if measure.take is Take.SEVERITY:
            severity = next(each for each in self.plan.spec.severities if each.id == measure.of[0])
            return steps(severity, self.of(severity.measure))
        if measure.take is Take.CODES:
            return _codes(self.sizes, self.size)
        if measure.kinds:
            return of_marks(measure, self)
        return _of_figures(measure, self)

    def marks(self, kind: str) -> Marks:
        """The marks of a kind that are there."""
        if kind not in self._marks:
            self._marks[kind] = self.columns.marks[kind].there()
        return self._marks[kind]

    def found(self, kinds: tuple[str, ...]) -> list[Marks]:
        """The marks of each of the kinds of which there is any."""
        return [each for each in (self.marks(kind) for kind in kinds if kind in self.columns.marks) if len(each.rows)]

    def raw(self, name: str) -> Raw:
        """The weight, the colour stage or a measure of the crop; the mean of a load stands for every fruit."""
        return raw(name, self.plan, self.columns)


def _codes(sizes: tuple[Sizes, ...], size: "Ints") -> Figures:
    """How many size codes the fruit falls in."""
    import numpy as np  # noqa: PLC0415

    count = np.array([len(each.codes) for each in sizes], dtype=np.int16)
    extents = [UP_TO if each.perhaps else AT_LEAST if each.missing else EXACT for each in sizes]
    if not any(extents):
        return Figures(look_up(count, size), same=len(set(count.tolist())) == 1)
    most = np.array([len(each.codes) + each.perhaps for each in sizes], dtype=np.int16)
    return Figures(look_up(count, size), 1, look_up(np.array(extents, dtype=np.int8), size), (look_up(most, size), 1))


def _of_figures(measure: Measure, taking: Taking) -> Figures:
    """The weight, the colour stage, measures of the crop: one, several added up, or one over another."""
    figures = [taking.raw(name) for name in measure.of]
    if measure.take is Take.RATIO:
        return _ratio(figures[0], figures[1], per_written(measure, taking.plan.spec))
    if len(figures) == 1:
        (only,) = figures
        return Figures(only.known(), only.den, extent_where(None if only.taken is None else ~only.taken))
    den = lcm(*(each.den for each in figures))
    num = reduce(plus, [times(each.known(), den // each.den) for each in figures])
    missed = [~each.taken for each in figures if each.taken is not None]
    return Figures(num, den, extent_where(reduce(lambda one, other: one | other, missed) if missed else None))


def _ratio(first: Raw, second: Raw, written: Fraction) -> Figures:
    """One figure over another, both as they are written. Over nothing there is none."""
    import numpy as np  # noqa: PLC0415

    den = times(second.known(), first.den * written.denominator)
    known = den != 0
    known &= True if first.taken is None else first.taken
    num = times(first.known(), second.den * written.numerator) * known
    num = np.where(den < 0, -num, num)
    return Figures(num, np.where(known, abs(den), 1), extent_where(~known))
