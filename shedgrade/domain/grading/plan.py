"""A spec made ready for grading the fruit of a load: for every class and size the bounds that count.

Built once a spec and load and kept. What the load says has chosen among the rows already; a bound becomes numerators
and denominators, so that a fruit is judged by multiplying whole numbers; an "any" and a limit without a row for the
class and size fall away.
"""

import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from itertools import chain
from typing import Any, Protocol

from shedgrade.domain import units
from shedgrade.domain.bound import Bound
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.grading.facts import NOTHING_SAID, Defect, Fruit, Load, MaturityFigure
from shedgrade.domain.grading.takes import (
    VARIETY,
    Extent,
    GradingError,
    Seen,
    Sizes,
    Taken,
    Taker,
    figure_of,
    taker,
)
from shedgrade.domain.spec.limit import Level, Limit, Row
from shedgrade.domain.spec.measure import WEIGHT, Measure, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.scale import Band, Rounding, Scale

DAY = "day"
MARKETING = "stage of marketing"
DESTINATION = "destination"
GROWN_IN = "where it was grown"
PRESENTATION = "presentation"


class Answer(Enum):
    """Yes, no, not judged; or nothing is asked."""

    HOLDS = 0
    BROKEN = 1
    NOT_JUDGED = 2
    NO_RULE = 3


class Figures(Protocol):
    """The figures of a fruit by their place in the plan."""

    def __getitem__(self, place: int, /) -> Taken: ...


@dataclass(frozen=True, slots=True)
class Bounds:
    """An interval over one figure, ready to compare; ``place`` is the figure's in the plan."""

    place: int
    low: tuple[int, int, bool] | None
    high: tuple[int, int, bool] | None

    def judge(self, figures: Figures) -> Answer:
        """Compare exactly. A figure that may still grow breaks an upper end for good, but never passes one, unless it
        is known how far it may grow."""
        num, den, extent, _, most = figures[self.place]
        if self.high is not None:
            top, bottom, closed = self.high
            left, right = num * bottom, top * den
            if left > right or (left == right and (not closed or extent is Extent.MORE_THAN)):
                return Answer.BROKEN
            if extent is not Extent.EXACT and (most is None or not _under(most, self.high)):
                return Answer.NOT_JUDGED
        if self.low is not None:
            top, bottom, closed = self.low
            left, right = num * bottom, top * den
            if left < right or (left == right and not closed and extent is not Extent.MORE_THAN):
                if extent is Extent.EXACT or (most is not None and not _over(most, self.low)):
                    return Answer.BROKEN
                return Answer.NOT_JUDGED
        return Answer.HOLDS


def _under(figure: tuple[int, int], end: tuple[int, int, bool]) -> bool:
    left, right = figure[0] * end[1], end[0] * figure[1]
    return left < right or (end[2] and left == right)


def _over(figure: tuple[int, int], end: tuple[int, int, bool]) -> bool:
    left, right = figure[0] * end[1], end[0] * figure[1]
    return left > right or (end[2] and left == right)


@dataclass(frozen=True, slots=True)
class Check:
    """One row of one way of a limit: ``limit`` is the place of the limit in the spec.

    ``switches`` are bounds that must hold for the row to speak of a fruit, ``unsaid`` the facts of the load that
    would have to be known. ``unsaid`` and ``switches`` empty: it decides.
    """

    limit: int
    measure: Measure
    row: Row
    bounds: Bounds
    switches: tuple[Bounds, ...] = ()
    unsaid: tuple[str, ...] = ()

    def judge(self, figures: Figures) -> Answer:
        """Whether the fruit holds the row."""
        return self.bounds.judge(figures)

    def deciding(self, _figures: Figures) -> tuple["Decided", ...]:
        """Itself."""
        return (Decided(self),)

    def speaks(self, figures: Figures) -> Answer:
        """Whether the row speaks of the fruit."""
        answer = Answer.NOT_JUDGED if self.unsaid else Answer.HOLDS
        for switch in self.switches:
            found = switch.judge(figures)
            if found is Answer.BROKEN:
                return found
            if found is Answer.NOT_JUDGED:
                answer = found
        return answer


@dataclass(frozen=True, slots=True)
class Decided:
    """The row that decides one way of a limit for a fruit; ``known`` False: nobody can say whether it is that row."""

    check: Check
    known: bool = True

    def judge(self, figures: Figures) -> Answer:
        """Whether the way holds."""
        return self.check.judge(figures) if self.known else Answer.NOT_JUDGED


@dataclass(frozen=True, slots=True)
class Ruling:
    """A limit whose row depends on the fruit, or that has several ways: the rows of each way that may speak."""

    limit: int
    ways: tuple[tuple[Check, ...], ...]

    def judge(self, figures: Figures) -> Answer:
        """One way that holds is enough; it is broken when every way that has a row is."""
        answers = {each.judge(figures) for each in self.deciding(figures)}
        if not answers:
            return Answer.NO_RULE
        if Answer.HOLDS in answers:
            return Answer.HOLDS
        return Answer.NOT_JUDGED if Answer.NOT_JUDGED in answers else Answer.BROKEN

    def deciding(self, figures: Figures) -> tuple[Decided, ...]:
        """Of each way the first row that speaks of the fruit, or may; a way without one is left out."""
        return tuple(chain.from_iterable(_first(way, figures) for way in self.ways))


def _first(way: tuple[Check, ...], figures: Figures) -> Iterator[Decided]:
    for check in way:
        speaks = check.speaks(figures)
        if speaks is not Answer.BROKEN:
            yield Decided(check, known=speaks is Answer.HOLDS)
            return


@dataclass(frozen=True, slots=True)
class Table:
    """The checks of one size code, each once, and for every class, best first, which of them it has.

    ``judges`` answer for the checks in their order; kept ready because they are asked for every fruit.
    """

    checks: tuple[Check | Ruling, ...]
    classes: tuple[tuple[int, ...], ...]
    judges: tuple[Callable[[Figures], Answer], ...] = field(compare=False)


@dataclass(frozen=True, slots=True)
class Plan:
    """A table for each size code and for no code (None); sizes under the same rules share one and the same table.

    ``unsized`` is the table of fruit whose size nobody can tell. ``takers`` are the figures that classes and severities
    need, ``severities`` the places of the latter.
    """

    spec: Spec
    load: Load
    tables: dict[str | None, Table]
    unsized: Table
    sizer: "Sizer"
    kinds: frozenset[str]
    measures: frozenset[str]
    takers: tuple[Taker, ...]
    severities: tuple[int, ...]
    _asked: "_Asked"
    _rulings: dict[tuple[str, str, str | None], Check | Ruling | None] = field(default_factory=dict)

    def codes(self, figure: units.Exact) -> tuple[str, ...]:
        """The same answer as ``Scale.codes`` for the variety of the load."""
        return self.sizer.codes(figure)

    def seen(self, fruit: Fruit) -> Seen:
        """The facts of a fruit put in order; GradingError for a kind or measure the crop does not know."""
        marks: dict[str, list[Defect]] = {}
        for defect in fruit.defects:
            if defect.kind not in self.kinds:
                raise GradingError(f'the crop has no defect kind "{defect.kind}"')
            if defect.is_there:
                marks.setdefault(defect.kind, []).append(defect)
        figures = dict(fruit.measures) if fruit.measures else _NO_FIGURES
        for name in figures:
            if name not in self.measures:
                raise GradingError(f'the crop has no measure "{name}" of a fruit')
        if self.sizer.of_weight:
            return Seen(fruit, Sizes(self.sizer.codes(fruit.weight_dg)), marks, figures)
        bare = Seen(fruit, _NO_SIZES, marks, figures)
        return bare._replace(sizes=self.sizer.sizes(bare))

    def taker(self, place: int) -> Taker:
        """The taker at a place, also of what only limits of a package or of tolerated fruit ask."""
        return self._asked.takers[place]

    def place(self, measure: Measure) -> int:
        """Where the figure of a measure stands."""
        return self._asked.place(measure)

    @property
    def measured(self) -> Sequence[Measure]:
        """What is measured at each place."""
        return self._asked.measures

    def test(self, measure: Measure) -> MaturityFigure | None:
        """The test whose mean is the figure; None where it is no mean of a load."""
        if measure.take is not Take.VALUE:
            return None
        return next((each for each in self.load.tests if each.measure == measure.of[0]), None)

    def ruling(self, limit: Limit, class_id: str, size: str | None) -> Check | Ruling | None:
        """A limit of any level as written for a class and a size code."""
        key = limit.id, class_id, size
        if key not in self._rulings:
            number = self.spec.limits.index(limit)
            self._rulings[key] = _ruling(number, limit, class_id, _Size(size), self._asked)
        return self._rulings[key]


_NO_FIGURES: dict[str, int] = {}
_NO_SIZES = Sizes(())


class FigureOf:
    """The figures of one fruit, each taken when it is first asked for."""

    def __init__(self, plan: Plan, fruit: Fruit) -> None:
        self.plan = plan
        self.seen = plan.seen(fruit)
        self._taken: dict[int, Taken] = {}

    def __getitem__(self, place: int, /) -> Taken:
        """The figure at a place."""
        if place not in self._taken:
            self._taken[place] = self.plan.taker(place).take(self.seen)
        return self._taken[place]


_KEPT = 128
_LOADS_KEPT = 64


@dataclass(frozen=True, slots=True)
class _Kept:
    spec: Spec
    plain: Plan
    asks_load: bool
    by_load: dict[Load, Plan] = field(default_factory=dict)


# By identity, because a spec is looked up for every fruit and comparing two equal ones takes longer than grading.
# Each plan is kept with its spec, so an identity cannot pass to another one while it stands here.
_plans: dict[int, _Kept] = {}


def plan_for(spec: Spec, load: Load = NOTHING_SAID) -> Plan:
    """The plan of a spec for what is said of a load, built at first use."""
    kept = _plans.get(id(spec))
    if kept is None:
        if len(_plans) >= _KEPT:
            _plans.clear()
        kept = _plans[id(spec)] = _Kept(spec, _plan(spec, NOTHING_SAID), _asks_load(spec))
    if load is NOTHING_SAID or not kept.asks_load:
        return kept.plain
    plan = kept.by_load.get(load)
    if plan is None:
        if len(kept.by_load) >= _LOADS_KEPT:
            kept.by_load.clear()
        plan = kept.by_load[load] = _plan(spec, load)
    return plan


def _asks_load(spec: Spec) -> bool:
    """Whether anything that a load says may change what the spec says of its fruit."""
    rows = (row for limit in spec.limits for way in limit.ways for row in way.rows)
    by_facts = any(unsaid_of(row, NOTHING_SAID) for row in rows)
    by_tests = any(measure.on is not TakenOn.FRUIT for measure in spec.crop.measures)
    return by_facts or by_tests or any(band.varieties for band in spec.scale.bands)


def _plan(spec: Spec, load: Load) -> Plan:
    asked = _Asked(spec, load)
    names: list[str | None] = [None, *spec.scale.names]
    shared: dict[Table, Table] = {}
    tables = {name: _table(spec, _Size(name), asked) for name in names}
    unsized = _table(spec, _Size(None, unsaid=spec.scale.of if spec.scale.of != WEIGHT else VARIETY), asked)
    severities = tuple(asked.place(Measure((each.id,), Take.SEVERITY)) for each in spec.severities)
    return Plan(
        spec=spec,
        load=load,
        tables={name: shared.setdefault(table, table) for name, table in tables.items()},
        unsized=shared.setdefault(unsized, unsized),
        sizer=Sizer(spec, load),
        kinds=frozenset(kind.id for kind in spec.crop.kinds),
        measures=frozenset(measure.id for measure in spec.crop.measures),
        takers=tuple(asked.takers),
        severities=severities,
        _asked=asked,
    )


class _Asked:
    """The measures a plan needs, each once, with their takers by place."""

    def __init__(self, spec: Spec, load: Load) -> None:
        self.spec = spec
        self.load = load
        self.takers: list[Taker] = []
        self.measures: list[Measure] = []
        self._places: dict[Measure, int] = {}

    def place(self, measure: Measure) -> int:
        if measure not in self._places:
            self._places[measure] = len(self.takers)
            self.measures.append(measure)
            self.takers.append(taker(measure, self.spec, self.load))
        return self._places[measure]

    def bounds(self, measure: Measure, bound: Bound) -> Bounds:
        return Bounds(self.place(measure), low_end(bound), high_end(bound))


@dataclass(frozen=True, slots=True)
class _Size:
    """The size code that rows are chosen for; ``unsaid`` what was not taken to know it."""

    code: str | None
    unsaid: str = ""


def _table(spec: Spec, size: _Size, asked: _Asked) -> Table:
    classes = [_rulings(spec, each.id, size, asked) for each in spec.classes]
    numbers = {check: number for number, check in enumerate(dict.fromkeys(chain.from_iterable(classes)))}
    return Table(
        checks=tuple(numbers),
        classes=tuple(tuple(numbers[check] for check in checks) for checks in classes),
        judges=tuple(check.bounds.judge if isinstance(check, Check) else check.judge for check in numbers),
    )


def _rulings(spec: Spec, class_id: str, size: _Size, asked: _Asked) -> tuple[Check | Ruling, ...]:
    limits = ((number, limit) for number, limit in enumerate(spec.limits) if limit.level is Level.FRUIT)
    found = (_ruling(number, limit, class_id, size, asked) for number, limit in limits)
    return tuple(each for each in found if each is not None and not _holds_always(each))


def _holds_always(ruling: Check | Ruling) -> bool:
    return isinstance(ruling, Check) and ruling.row.to.is_any


def _ruling(number: int, limit: Limit, class_id: str, size: _Size, asked: _Asked) -> Check | Ruling | None:
    """The limit for a class and size: one row where nothing else decides, None when no way can have a row."""
    ways = [_way(number, way.measure, way.rows, (class_id, size), asked) for way in limit.ways]
    found = tuple(way for way in ways if way)
    if len(found) == 1 and _decides(found[0][0]):
        return found[0][0]
    return Ruling(number, found) if found else None


def _way(number: int, measure: Measure, rows: Sequence[Row], of: tuple[str, _Size], asked: _Asked) -> tuple[Check, ...]:
    """The rows that may speak of the fruit, up to the first that surely does."""
    class_id, size = of
    found = []
    for row in rows:
        unsaid = unsaid_of(row, asked.load)
        fits = row.fits(class_id, row.sizes[0]) if size.unsaid and row.sizes else row.fits(class_id, size.code)
        if unsaid is None or not fits:
            continue
        unknown = (*unsaid, *([size.unsaid] if size.unsaid and row.sizes else []))
        switches = tuple(asked.bounds(when.measure, when.bound) for when in row.when)
        found.append(Check(number, measure, row, asked.bounds(measure, row.to), switches, unknown))
        if _decides(found[-1]):
            break
    return tuple(found)


def _decides(check: Check) -> bool:
    return not check.switches and not check.unsaid


def unsaid_of(row: Row, load: Load) -> tuple[str, ...] | None:
    """The facts of the load that the row asks for and nobody said; None when one that was said shuts it out."""
    guards = (
        (row.varieties, load.variety, VARIETY),
        (row.stages, load.stage, MARKETING),
        (row.destinations, load.destination, DESTINATION),
        (row.grown_in, load.grown_in, GROWN_IN),
        (row.presentations, load.presentation, PRESENTATION),
    )
    asked = [(named, said, word) for named, said, word in guards if named]
    shut = any(said is not None and said not in named for named, said, _ in asked)
    if shut or (row.days and load.day and not row.days.holds(load.day.month, load.day.day)):
        return None
    day = [DAY] if row.days is not None and load.day is None else []
    return tuple([word for _, said, word in asked if said is None] + day)


def low_end(bound: Bound) -> tuple[int, int, bool] | None:
    """The lower end ready to compare: numerator, denominator, and whether the end itself is allowed."""
    return None if bound.low is None else (bound.low.numerator, bound.low.denominator, bound.low_closed)


def high_end(bound: Bound) -> tuple[int, int, bool] | None:
    """The upper end, likewise."""
    return None if bound.high is None else (bound.high.numerator, bound.high.denominator, bound.high_closed)


_HALF_A_GRAM = units.DG_PER_G // 2


class Sizer:
    """The size table made ready for the variety of a load. A table by weight, the same for all varieties, is looked
    up in whole decigrams."""

    def __init__(self, spec: Spec, load: Load) -> None:
        scale = spec.scale
        self.scale = scale
        self.variety = load.variety
        self.of_weight = scale.of == WEIGHT and not (load.variety is None and any(b.varieties for b in scale.bands))
        self._figure = figure_of(scale.of, spec, load)
        whole = scale.count_in_g is None and scale.rounding in (Rounding.NONE, Rounding.HALF_UP_TO_THE_GRAM)
        self._grams = whole and scale.rounding is Rounding.HALF_UP_TO_THE_GRAM
        self._bands = [_whole(band) for band in _of(scale, load.variety)] if whole else None
        self._by_variety = [band for band in scale.bands if band.varieties] if load.variety is None else []

    def codes(self, figure: units.Exact) -> tuple[str, ...]:
        """The size codes of a figure; bands of other varieties, or of any when none was said, fall away."""
        if self._bands is None or type(figure) is not int:
            return self.scale.codes(figure, self.variety)
        figure = self.rounded(figure)
        return tuple([name for name, least, most in self._bands if least <= figure <= most])

    def rounded(self, figure: Any) -> Any:
        """A whole figure as the table rounds it, where it does so before anything else; an array of them alike."""
        if not self._grams:
            return figure
        return (figure + _HALF_A_GRAM) // units.DG_PER_G * units.DG_PER_G

    def figure(self, seen: Seen) -> units.Exact | None:
        """What the table looks up, in base units; None when it was not taken."""
        found = self._figure(seen)
        if found is None:
            return None
        return found[0] if found[1] == 1 else Fraction(*found)

    def sizes(self, seen: Seen) -> Sizes:
        """The size codes of a fruit, and what is not known of them."""
        return self.sizes_of(self.figure(seen))

    def sizes_of(self, figure: units.Exact | None) -> Sizes:
        """The same by the figure that the table looks up; None when it was not taken."""
        if figure is None:
            return Sizes((), missing=self.scale.of)
        codes = self.codes(figure)
        if not self._by_variety:
            return Sizes(codes)
        value = self.scale.looked_up(figure)
        others = {band.name for band in self._by_variety if band.to.allows(value)}
        perhaps = len(others.difference(codes))
        return Sizes(codes, perhaps, VARIETY if perhaps else "")


def _of(scale: Scale, variety: str | None) -> list[Band]:
    return [band for band in scale.bands if not band.varieties or variety in band.varieties]


def _whole(band: Band) -> tuple[str, int, int]:
    least, most = band.to.whole()
    return band.name, least or 0, sys.maxsize if most is None else most
