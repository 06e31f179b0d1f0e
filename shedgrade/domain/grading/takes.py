"""How a figure is got from a fruit: one function for each ``Take``.

Each makes a taker, a function that is built once a spec and load and asked for every fruit. Figures are fractions of
whole numbers in base units and say how they stand to the truth when not everything was looked for or measured.
"""

from collections.abc import Callable, Iterable
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain import units
from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.grading.facts import Defect, Fruit, Load, blemish_surface_mm2
from shedgrade.domain.spec.limit import Severity, Step
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT, By, Measure, Reference, Take
from shedgrade.domain.spec.model import Spec

VARIETY = "variety"
_STATE_OF = "state of "


class GradingError(ValueError):
    """The question does not fit the fruit or the spec; the message says what would."""


class Extent(Enum):
    """How a figure stands to the truth when not everything was looked for or measured."""

    EXACT = 0
    AT_LEAST = 1
    MORE_THAN = 2
    UP_TO = 3
    """At least the figure, at most ``Taken.most``."""


class Taken(NamedTuple):
    """A figure got from a fruit, ``num / den`` in base units, and the kinds that made it up."""

    num: int
    den: int
    extent: Extent
    kinds: tuple[str, ...]
    most: tuple[int, int] | None = None


# Nobody took it. No figure is below nothing.
UNKNOWN = Taken(0, 1, Extent.AT_LEAST, ())
NOTHING = Taken(0, 1, Extent.EXACT, ())


class Sizes(NamedTuple):
    """The size codes of a fruit: those it has, those it has if it is of another variety, and what was not taken to
    know them ("" when they are known)."""

    codes: tuple[str, ...]
    perhaps: int = 0
    missing: str = ""


class Seen(NamedTuple):
    """The facts of a fruit, its marks by kind and its other figures by measure."""

    fruit: Fruit
    sizes: Sizes
    marks: dict[str, list[Defect]]
    figures: dict[str, int]

    def named(self, kinds: tuple[str, ...]) -> tuple[tuple[str, ...], Extent]:
        """Those of the kinds that are there, and whether there may be more because not all were looked for."""
        looked_for = self.fruit.looked_for
        extent = Extent.EXACT if looked_for is None or looked_for.issuperset(kinds) else Extent.AT_LEAST
        return tuple([kind for kind in kinds if kind in self.marks]) if self.marks else (), extent


# A figure of a fruit by itself, None when it was not taken; the marks added up or compared, and whether there is one
# among them without a figure.
Figure = Callable[[Seen], tuple[int, int] | None]
Marks = Callable[[list[Defect], int], tuple[int, int, bool]]


class Taker(NamedTuple):
    """One measure made ready: its figure, and what was not taken when the figure is unsure (ids of kinds and measures,
    "colour stage", "variety", and for states ``state_of``)."""

    take: Callable[[Seen], Taken]
    missing: Callable[[Seen], tuple[str, ...]]


def taker(measure: Measure, spec: Spec, load: Load) -> Taker:
    """The taker of a measure for the fruit of a load. Raises GradingError for what no single fruit has."""
    if measure.take is Take.SPREAD:
        raise GradingError("a spread is of the fruit of a package, one fruit has none")
    if measure.take is Take.SEVERITY:
        return _severity(next(each for each in spec.severities if each.id == measure.of[0]), spec, load)
    if measure.take is Take.CODES:
        return Taker(_codes, lambda seen: (seen.sizes.missing,))
    if measure.take is Take.PRESENT:
        return _Marked(measure, spec, load).present()
    if measure.take is Take.PLACES or measure.by is not None:
        return _Marked(measure, spec, load).added()
    return _of_figures(measure, spec, load)


def state_of(kind: str) -> str:
    """How a taker names the state of a kind, of which nobody looked at it."""
    return f"{_STATE_OF}{kind}"


def kind_of_state(missing: str) -> str | None:
    """The kind whose state was not looked at; None for anything else."""
    return missing.removeprefix(_STATE_OF) if missing.startswith(_STATE_OF) else None


def figure_of(name: str, spec: Spec, load: Load) -> Figure:
    """The getter of "weight", "colour stage" or a measure of the crop, of the fruit or of its load."""
    if name == WEIGHT:
        return lambda seen: (seen.fruit.weight_dg, 1)
    if name == COLOUR_STAGE:
        return lambda seen: None if seen.fruit.stage is None else (seen.fruit.stage, 1)
    measure = spec.crop.measure(name)
    if measure.on is TakenOn.FRUIT:
        per_base = measure.per_base
        return lambda seen: (seen.figures[name], per_base) if name in seen.figures else None
    mean = next((each.mean for each in load.tests if each.measure == name), None)
    said = None if mean is None else (mean.numerator, mean.denominator)
    return lambda _seen: said


def _of_figures(measure: Measure, spec: Spec, load: Load) -> Taker:
    """The weight, the colour stage, measures of the crop: one, several added up, or one over another."""
    figures = [(name, figure_of(name, spec, load)) for name in measure.of]

    def missing(seen: Seen) -> tuple[str, ...]:
        return tuple(name for name, figure in figures if figure(seen) is None) or measure.of[1:]

    if measure.take is Take.RATIO:
        return Taker(_ratio(figures[0][1], figures[1][1], per_written(measure, spec)), missing)
    if len(figures) == 1:
        return Taker(_value(figures[0][1]), missing)
    return Taker(_total([figure for _, figure in figures]), missing)


def _value(figure: Figure) -> Callable[[Seen], Taken]:
    def take(seen: Seen) -> Taken:
        found = figure(seen)
        return UNKNOWN if found is None else Taken(*found, Extent.EXACT, ())

    return take


def _total(figures: list[Figure]) -> Callable[[Seen], Taken]:
    """Several measures added up; without one of them it is at least the others."""

    def take(seen: Seen) -> Taken:
        found = [figure(seen) for figure in figures]
        total = sum((Fraction(*each) for each in found if each is not None), Fraction(0))
        return Taken(total.numerator, total.denominator, Extent.AT_LEAST if None in found else Extent.EXACT, ())

    return take


def _ratio(first: Figure, second: Figure, per_written: Fraction) -> Callable[[Seen], Taken]:
    """One figure over another, both as they are written: 12 Brix to 1 % of acid is 12. Over nothing there is none."""

    def take(seen: Seen) -> Taken:
        top, bottom = first(seen), second(seen)
        if top is None or bottom is None or not bottom[0]:
            return UNKNOWN
        ratio = Fraction(*top) / Fraction(*bottom) * per_written
        return Taken(ratio.numerator, ratio.denominator, Extent.EXACT, ())

    return take


def per_written(measure: Measure, spec: Spec) -> Fraction:
    """What a ratio of base units is multiplied by to be one of figures as written."""
    first, second = (_unit(name, spec).base for name in measure.of)
    return second / first


def _unit(name: str, spec: Spec) -> Unit:
    if name == WEIGHT:
        return Unit.GRAM
    return Unit.NUMBER if name == COLOUR_STAGE else spec.crop.measure(name).unit


def _codes(seen: Seen) -> Taken:
    """How many size codes the fruit falls in."""
    codes, perhaps, missing = seen.sizes
    if perhaps:
        return Taken(len(codes), 1, Extent.UP_TO, (), (len(codes) + perhaps, 1))
    return UNKNOWN if missing else Taken(len(codes), 1, Extent.EXACT, ())


def kinds_in(measure: Measure, spec: Spec) -> tuple[str, ...]:
    """The kinds whose marks a measure counts: where it names states, those that can be in one of them."""
    if not measure.states:
        return measure.of
    can_be = {kind.id for kind in spec.crop.kinds if not frozenset(measure.states).isdisjoint(kind.states)}
    return tuple(kind for kind in measure.of if kind in can_be)


class _Marked:
    """Takers over marks. ``states`` narrows them to the kinds that can be in one of the states and to the marks that
    are; of a mark whose state nobody looked at nobody knows whether it counts."""

    def __init__(self, measure: Measure, spec: Spec, load: Load) -> None:
        self.measure = measure
        self.states = frozenset(measure.states)
        self.kinds = kinds_in(measure, spec)
        self.scale = None if measure.as_on is None else _as_on(measure.as_on, spec, load)

    def present(self) -> Taker:
        """How many of the named kinds are there."""
        if not self.states:
            return Taker(_present(self.kinds), self._missing)
        return Taker(self._some_present, self._missing)

    def added(self) -> Taker:
        """The named kinds added up, the largest mark of them, or their places; the same kind twice counts twice."""
        of = _of_marks(self.measure)
        take = self._of_some(of) if self.states else self._of_all(of)
        return Taker(take if self.scale is None else self._scaled(take, self.scale), self._missing)

    def _some_present(self, seen: Seen) -> Taken:
        there, extent = seen.named(self.kinds)
        sure = tuple(kind for kind in there if any(self._counts(mark) for mark in seen.marks[kind]))
        unsure = any(self._counts(mark) is None for kind in there if kind not in sure for mark in seen.marks[kind])
        if unsure and extent is Extent.EXACT:
            return Taken(len(sure), 1, Extent.UP_TO, sure, (self._at_most(seen, there), 1))
        return Taken(len(sure), 1, extent, sure)

    def _at_most(self, seen: Seen, there: tuple[str, ...]) -> int:
        return sum(any(self._counts(mark) is not False for mark in seen.marks[kind]) for kind in there)

    def _of_all(self, of: Marks) -> Callable[[Seen], Taken]:
        named, kinds = Seen.named, self.kinds
        largest = self.measure.take is Take.LARGEST

        def take(seen: Seen) -> Taken:
            there, extent = named(seen, kinds)
            if not there:
                return NOTHING if extent is Extent.EXACT else UNKNOWN
            found = seen.marks
            marks = found[there[0]] if len(there) == 1 else [mark for kind in there for mark in found[kind]]
            num, den, gaps = of(marks, seen.fruit.weight_dg)
            if gaps:
                return Taken(num, den, _with_gaps(num, largest=largest), there)
            return Taken(num, den, extent, _largest(there, seen, of, (num, den)) if largest else there)

        return take

    def _of_some(self, of: Marks) -> Callable[[Seen], Taken]:
        def take(seen: Seen) -> Taken:
            there, extent = seen.named(self.kinds)
            found = [(mark, self._counts(mark)) for kind in there for mark in seen.marks[kind]]
            weight = seen.fruit.weight_dg
            sure = [mark for mark, counts in found if counts]
            num, den, gaps = of(sure, weight)
            kinds = tuple(kind for kind in there if any(mark.kind == kind for mark in sure))
            if gaps:
                return Taken(num, den, _with_gaps(num, largest=self.measure.take is Take.LARGEST), kinds)
            high, bottom, open_end = of([mark for mark, counts in found if counts is not False], weight)
            if extent is not Extent.EXACT or open_end:
                return Taken(num, den, Extent.AT_LEAST, kinds)
            if high * den == num * bottom:
                return Taken(num, den, Extent.EXACT, kinds)
            return Taken(num, den, Extent.UP_TO, kinds, (high, bottom))

        return take

    def _counts(self, mark: Defect) -> bool | None:
        return None if mark.states is None else not self.states.isdisjoint(mark.states)

    def _scaled(self, take: Callable[[Seen], Taken], scale: Figure) -> Callable[[Seen], Taken]:
        """The figure as on the fruit of reference; whose size was not taken, of that only that there is something."""

        def scaled(seen: Seen) -> Taken:
            taken = take(seen)
            factor = scale(seen)
            if factor is None:
                there = taken.num or taken.extent is Extent.MORE_THAN
                nothing = taken.extent if taken.most is None else Extent.AT_LEAST
                return Taken(0, 1, Extent.MORE_THAN if there else nothing, taken.kinds)
            top, bottom = factor
            most = None if taken.most is None else (taken.most[0] * top, taken.most[1] * bottom)
            return Taken(taken.num * top, taken.den * bottom, taken.extent, taken.kinds, most)

        return scaled

    def _missing(self, seen: Seen) -> tuple[str, ...]:
        """The kinds not looked for or without a figure, the states not looked at, the size of the fruit."""
        looked_for = frozenset(self.kinds) if seen.fruit.looked_for is None else seen.fruit.looked_for
        present = self.measure.take in (Take.PRESENT, Take.PLACES)
        found = {kind: seen.marks.get(kind, ()) for kind in self.kinds}
        named = [
            kind
            for kind, marks in found.items()
            if kind not in looked_for or (not present and any(not _has(mark, self.measure.by) for mark in marks))
        ]
        if self.states:
            named += [state_of(kind) for kind, marks in found.items() if any(mark.states is None for mark in marks)]
        reference = self.measure.as_on
        if reference is not None and self.scale is not None and any(found.values()) and self.scale(seen) is None:
            named.append(reference.of)
        return tuple(named)


def _present(kinds: tuple[str, ...]) -> Callable[[Seen], Taken]:
    """How many of the kinds are there. Most limits ask this and most fruit have nothing, so that answer is ready."""

    def take(seen: Seen) -> Taken:
        marks, looked_for = seen.marks, seen.fruit.looked_for
        there = tuple([kind for kind in kinds if kind in marks]) if marks else ()
        if looked_for is None or looked_for.issuperset(kinds):
            return Taken(len(there), 1, Extent.EXACT, there) if there else NOTHING
        return Taken(len(there), 1, Extent.AT_LEAST, there)

    return take


def _with_gaps(num: int, *, largest: bool) -> Extent:
    """A mark without a figure adds to a sum; the largest it need not be."""
    return Extent.AT_LEAST if largest and num else Extent.MORE_THAN


def _largest(there: tuple[str, ...], seen: Seen, of: Marks, most: tuple[int, int]) -> tuple[str, ...]:
    """The kinds that have a mark of the largest figure."""
    tops = ((kind, of(seen.marks[kind], seen.fruit.weight_dg)) for kind in there)
    return tuple(kind for kind, (num, den, _) in tops if num * most[1] == most[0] * den)


def _has(mark: Defect, by: By | None) -> bool:
    return mark.length_dmm is not None if by is By.LENGTH else mark.area_mm2 is not None or mark.share_bp is not None


def _of_marks(measure: Measure) -> Marks:
    if measure.take is Take.PLACES or measure.by is None:
        return _places
    if measure.take is Take.LARGEST:
        return _largest_of(_SUMS[measure.by])
    return _SUMS[measure.by]


def _areas(marks: list[Defect], weight_dg: int) -> tuple[int, int, bool]:
    """The marks added up in mm²; one known only as a share is turned by the blemish surface."""
    area = share = 0
    gaps = False
    for mark in marks:
        if mark.area_mm2 is not None:
            area += mark.area_mm2
        elif mark.share_bp is not None:
            share += mark.share_bp
        else:
            gaps = True
    return (area * units.BP + share * blemish_surface_mm2(weight_dg), units.BP, gaps) if share else (area, 1, gaps)


def _shares(marks: list[Defect], weight_dg: int) -> tuple[int, int, bool]:
    """The marks added up as a share of one; one known only in mm² is turned by the blemish surface."""
    area = share = 0
    gaps = False
    for mark in marks:
        if mark.share_bp is not None:
            share += mark.share_bp
        elif mark.area_mm2 is not None:
            area += mark.area_mm2
        else:
            gaps = True
    if not area:
        return share, units.BP, gaps
    surface = blemish_surface_mm2(weight_dg)
    return share * surface + area * units.BP, units.BP * surface, gaps


def _lengths(marks: list[Defect], _weight_dg: int) -> tuple[int, int, bool]:
    """The marks added up in tenths of a millimetre."""
    return sum(mark.length_dmm or 0 for mark in marks), 1, any(mark.length_dmm is None for mark in marks)


def _places(marks: list[Defect], _weight_dg: int) -> tuple[int, int, bool]:
    """In how many places the marks are."""
    return sum(1 if mark.places is None else mark.places for mark in marks), 1, False


def _largest_of(of: Marks) -> Marks:
    """The largest single mark, each measured as a sum of one."""

    def largest(marks: list[Defect], weight_dg: int) -> tuple[int, int, bool]:
        each = [of([mark], weight_dg) for mark in marks]
        num, den, _ = max(each, key=lambda found: Fraction(found[0], found[1]), default=(0, 1, False))
        return num, den, any(gaps for _, _, gaps in each)

    return largest


_SUMS: dict[By, Marks] = {By.AREA: _areas, By.SHARE: _shares, By.LENGTH: _lengths}


def _as_on(reference: Reference, spec: Spec, load: Load) -> Figure:
    """What a figure is multiplied by: the surface of the fruit of reference over the surface of this one. Surfaces go
    by the square of a diameter."""
    if reference.of == WEIGHT:
        surface = blemish_surface_mm2(units.round_half_up(reference.size))
        return lambda seen: (surface, blemish_surface_mm2(seen.fruit.weight_dg))
    figure = figure_of(reference.of, spec, load)

    def scale(seen: Seen) -> tuple[int, int] | None:
        found = figure(seen)
        if found is None or not found[0]:
            return None
        factor = (reference.size / Fraction(*found)) ** 2
        return factor.numerator, factor.denominator

    return scale


def _severity(severity: Severity, spec: Spec, load: Load) -> Taker:
    """The number of the step on a severity, 0 when nothing is there."""
    figure, missing = taker(severity.measure, spec, load)

    def take(seen: Seen) -> Taken:
        num, den, extent, kinds, most = figure(seen)
        low = _step(severity.steps, Fraction(num, den), more=extent is Extent.MORE_THAN)
        if extent is Extent.EXACT:
            return Taken(low, 1, extent, kinds)
        if most is None:
            return Taken(low, 1, Extent.AT_LEAST, kinds)
        high = _step(severity.steps, Fraction(*most))
        return Taken(low, 1, Extent.EXACT if low == high else Extent.UP_TO, kinds, None if low == high else (high, 1))

    return Taker(take, missing)


def _step(steps: Iterable[Step], figure: Fraction, *, more: bool = False) -> int:
    """The first step that the figure lies in; in a gap or past the last one, the last whose lower end it reached.

    ``more``: the figure stands for something just above it.
    """
    if not figure and not more:
        return 0
    reached = 0
    for number, step in enumerate(steps, 1):
        if not step.to.is_under(figure) or (more and step.to.low == figure):
            reached = number
            if not step.to.is_over(figure) and not (more and step.to.high == figure):
                return number
    return reached
