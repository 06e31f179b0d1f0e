"""How a figure is got from many fruit: for each ``Take`` the arrays that ``takes`` would give fruit by fruit."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, reduce
from math import lcm
from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain import units
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.grading.facts import blemish_surface_mm2
from shedgrade.domain.grading.many.columns import MEASURE_NOT_TAKEN, NOT_TAKEN, Columns, Marks
from shedgrade.domain.grading.many.marks import Weighed, there, total, weigh
from shedgrade.domain.grading.many.whole import by_value, ints, on, over, plus, times, under
from shedgrade.domain.grading.plan import Plan, high_end, low_end
from shedgrade.domain.grading.takes import Extent, Sizes, Taken, kinds_in, per_written
from shedgrade.domain.spec.limit import Severity
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT, Measure, Reference, Take

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
            return _steps(severity, self.of(severity.measure))
        if measure.take is Take.CODES:
            return _codes(self.sizes, self.size)
        if measure.kinds:
            return _marked(measure, self)
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


def _extent(where: "Bools | None", value: int = AT_LEAST) -> "Bytes | None":
    """That extent where it says so, exact elsewhere."""
    import numpy as np  # noqa: PLC0415

    return None if where is None or not where.any() else where.astype(np.int8) * np.int8(value)


def _codes(sizes: tuple[Sizes, ...], size: "Ints") -> Figures:
    """How many size codes the fruit falls in."""
    import numpy as np  # noqa: PLC0415

    count = np.array([len(each.codes) for each in sizes], dtype=np.int16)
    extents = [UP_TO if each.perhaps else AT_LEAST if each.missing else EXACT for each in sizes]
    if not any(extents):
        return Figures(count[size], same=len(set(count.tolist())) == 1)
    most = np.array([len(each.codes) + each.perhaps for each in sizes], dtype=np.int16)
    return Figures(count[size], 1, np.array(extents, dtype=np.int8)[size], (most[size], 1))


def _of_figures(measure: Measure, taking: Taking) -> Figures:
    """The weight, the colour stage, measures of the crop: one, several added up, or one over another."""
    figures = [taking.raw(name) for name in measure.of]
    if measure.take is Take.RATIO:
        return _ratio(figures[0], figures[1], per_written(measure, taking.plan.spec))
    if len(figures) == 1:
        (only,) = figures
        return Figures(only.known(), only.den, _extent(None if only.taken is None else ~only.taken))
    den = lcm(*(each.den for each in figures))
    num = reduce(plus, [times(each.known(), den // each.den) for each in figures])
    missed = [~each.taken for each in figures if each.taken is not None]
    return Figures(num, den, _extent(reduce(lambda one, other: one | other, missed) if missed else None))


def _ratio(first: Raw, second: Raw, written: Fraction) -> Figures:
    """One figure over another, both as they are written. Over nothing there is none."""
    import numpy as np  # noqa: PLC0415

    den = times(second.known(), first.den * written.denominator)
    known = den != 0
    known &= True if first.taken is None else first.taken
    num = times(first.known(), second.den * written.numerator) * known
    num = np.where(den < 0, -num, num)
    return Figures(num, np.where(known, abs(den), 1), _extent(~known))


def _marked(measure: Measure, taking: Taking) -> Figures:
    """Figures over marks, of those in one of the states if the measure names any."""
    import numpy as np  # noqa: PLC0415

    kinds = kinds_in(measure, taking.plan.spec)
    unseen = taking.columns.unseen(kinds)
    marks = taking.found(kinds)
    if not marks and unseen is None:
        return Figures(np.zeros(len(taking.columns), dtype=int), same=True)
    if measure.take is Take.PRESENT:
        return _present(measure, taking, marks, unseen)
    largest = measure.take is Take.LARGEST
    weighed, den = weigh(measure.by if measure.take is not Take.PLACES else None, taking.columns.weight_dg, marks)
    if measure.states:
        found = _in_states(measure, taking, weighed, den, unseen)
    else:
        num, gaps = total(len(taking.columns), weighed, largest=largest)
        found = Figures(num, den, _with_gaps(_extent(unseen), num, gaps, largest=largest))
    return found if measure.as_on is None else _scaled(found, *_as_on(measure.as_on, taking))


def _present(measure: Measure, taking: Taking, marks: list[Marks], unseen: "Bools | None") -> Figures:
    """How many of the named kinds are there."""
    import numpy as np  # noqa: PLC0415

    def count(kinds: list[Marks]) -> "Ints":
        number: Ints = np.zeros(len(taking.columns), dtype=np.int16)
        for each in kinds:
            number += there(len(number), [each])
        return number

    if not measure.states:
        return Figures(count(marks), 1, _extent(unseen))
    sure, most = (
        count([each.where(in_states(each, measure, taking)) for each in marks]) for in_states in (_sure, _may)
    )
    return Figures(sure, 1, _may_grow(_extent(unseen), sure != most), (most, 1))


def _in_states(
    measure: Measure, taking: Taking, weighed: list[Weighed], den: "Ints | int", unseen: "Bools | None"
) -> Figures:
    largest = measure.take is Take.LARGEST
    (num, gaps), (most, open_end) = (
        total(len(taking.columns), [of.where(choose(of.marks, measure, taking)) for of in weighed], largest=largest)
        for choose in (_sure, _may)
    )
    missed = unseen if open_end is None else open_end if unseen is None else unseen | open_end
    extent = _with_gaps(_may_grow(_extent(missed), num != most), num, gaps, largest=largest)
    return Figures(num, den, extent, (most, den))


def _sure(marks: Marks, measure: Measure, taking: Taking) -> "Bools":
    """The marks known to be in one of the states."""
    words = taking.columns.states
    bits = sum(1 << words.index(state) for state in measure.states if state in words)
    found: Bools = (marks.states != NOT_TAKEN) & ((marks.states & bits) != 0)
    return found


def _may(marks: Marks, measure: Measure, taking: Taking) -> "Bools":
    """These, and the marks of whose state nobody knows."""
    found: Bools = (marks.states == NOT_TAKEN) | _sure(marks, measure, taking)
    return found


def _may_grow(extent: "Bytes | None", more: "Bools") -> "Bytes | None":
    """UP_TO where there may be more and everything was looked for."""
    if not more.any():
        return extent
    grows = _extent(more, UP_TO)
    if extent is None or grows is None:
        return grows
    extent[extent == EXACT] = grows[extent == EXACT]
    return extent


def _with_gaps(extent: "Bytes | None", num: "Ints", gaps: "Bools | None", *, largest: bool) -> "Bytes | None":
    """A mark without a figure adds to a sum; the largest it need not be."""
    import numpy as np  # noqa: PLC0415

    if gaps is None:
        return extent
    found = np.zeros(len(num), dtype=np.int8) if extent is None else extent
    found[gaps] = MORE_THAN
    if largest:
        found[gaps & (num > 0)] = AT_LEAST
    return found


def _as_on(reference: Reference, taking: Taking) -> "tuple[Ints | int, Ints, Bools | None]":
    """What a figure is multiplied by and divided by, and where that is known."""
    import numpy as np  # noqa: PLC0415

    if reference.of == WEIGHT:
        surface = blemish_surface_mm2(units.round_half_up(reference.size))
        return surface, by_value(taking.columns.weight_dg, blemish_surface_mm2), None
    figure = taking.raw(reference.of)
    side = times(figure.known(), reference.size.denominator)
    return (reference.size.numerator * figure.den) ** 2, np.where(side != 0, times(side, side), 1), side != 0


def _scaled(found: Figures, top: "Ints | int", bottom: "Ints", known: "Bools | None") -> Figures:
    """The figure as on the fruit of reference; whose size was not taken, of that only that there is something."""
    import numpy as np  # noqa: PLC0415

    num, den = times(found.num, top), times(bottom, found.den)
    most = None if found.most is None else (times(found.most[0], top), times(bottom, found.most[1]))
    if known is None or known.all():
        return Figures(num, den, found.extent, most)
    extent = np.zeros(len(num), dtype=np.int8) if found.extent is None else found.extent.copy()
    something = ~known & ((found.num != 0) | (extent == MORE_THAN))
    extent[~known & (extent == UP_TO)] = AT_LEAST
    extent[something] = MORE_THAN
    return Figures(num * known, den, extent, most)


def _steps(severity: Severity, figures: Figures) -> Figures:
    """The number of the step on a severity, 0 when nothing is there."""
    import numpy as np  # noqa: PLC0415

    if figures.extent is None:
        return Figures(_step(severity, figures.num, figures.den, None))
    low = _step(severity, figures.num, figures.den, figures.extent == MORE_THAN)
    extent = np.where(figures.extent == EXACT, np.int8(EXACT), np.int8(AT_LEAST))
    if figures.most is None:
        return Figures(low, 1, extent)
    high = _step(severity, *figures.most, None)
    up_to = figures.extent == UP_TO
    extent[up_to] = np.where(low == high, EXACT, UP_TO)[up_to]
    return Figures(low, 1, extent, (high, 1))


def _step(severity: Severity, num: "Ints", den: "Ints | int", more: "Bools | None") -> "Ints":
    """The first step that the figure lies in; in a gap or past the last one, the last whose lower end it reached.

    ``more``: the figure stands for something just above it.
    """
    import numpy as np  # noqa: PLC0415

    reached: Ints = np.zeros(len(num), dtype=int)
    open_: Bools = (num != 0) if more is None else (num != 0) | more
    for number, step in enumerate(severity.steps, 1):
        low, high = low_end(step.to), high_end(step.to)
        is_in = open_ if low is None else open_ & (~under(num, den, low) | _just(num, den, low, more))
        reached[is_in] = number
        if high is not None:
            is_in = is_in & ~over(num, den, high) & ~_just(num, den, high, more)
        open_ = open_ & ~is_in
    return reached


def _just(num: "Ints", den: "Ints | int", end: tuple[int, int, bool], more: "Bools | None") -> "Bools":
    """Where the figure stands for something just above this end."""
    import numpy as np  # noqa: PLC0415

    return np.zeros(len(num), dtype=bool) if more is None else more & on(num, den, end)
