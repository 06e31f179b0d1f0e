"""Whether the fruit of one package are uniform: limits on how far the smallest and the largest may be apart.

Read ``judge_package`` first. Where a row asks for a weight or a measure, the smallest fruit decides which row counts:
our reading of texts that give steps by fruit weight and do not say whose.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain.bound import Bound
from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.label import has_size
from shedgrade.domain.grading.plan import Answer, FigureOf, plan_for, unsaid_of
from shedgrade.domain.grading.takes import Extent
from shedgrade.domain.grading.told import Told, all_of, answer_of, any_of
from shedgrade.domain.grading.uniform import Rule, fewest_out
from shedgrade.domain.grading.verdict import NotJudged
from shedgrade.domain.source import Source
from shedgrade.domain.spec.limit import Level, Limit, Row, Way
from shedgrade.domain.spec.measure import SIZE_CODE, Measure, Take
from shedgrade.domain.spec.model import Spec


@dataclass(frozen=True, slots=True)
class Uneven:
    """A limit of the package that is broken: how far apart its fruit are and how far they may be, in base units of
    the measure. ``smallest`` and ``largest`` are the indexes of two fruit that far apart."""

    limit_id: str
    limit_name: str
    measure: Measure
    figure: Fraction
    allowed: Bound
    smallest: int
    largest: int
    source: Source


@dataclass(frozen=True, slots=True)
class PackageVerdict:
    """Whether a package is uniform. ``breakers`` are the indexes of the fewest fruit that have to come out for all
    judged limits to hold; of several such choices the lightest."""

    uniform: Answer
    broken: tuple[Uneven, ...]
    breakers: tuple[int, ...]
    not_judged: tuple[NotJudged, ...]


def judge_package(
    spec: Spec,
    fruits: Sequence[Fruit],
    class_id: str,
    code: str | None = None,
    load: Load = NOTHING_SAID,
    only: frozenset[str] | None = None,
) -> PackageVerdict:
    """Judge the limits of level "package" as written for a class and the size code on the label.

    ``only`` narrows it to some of them, by id. A package under no such limit is uniform. A fruit whose figure was not
    taken leaves a limit not judged, unless the others break it already; so does a label without a size (``code``
    None) where the size decides.
    """
    package = _Package(spec, fruits, class_id, code, load)
    judged = [
        _JudgedLimit(limit, tuple(package.judge(way) for way in limit.ways))
        for limit in spec.limits
        if limit.level is Level.PACKAGE and (only is None or limit.id in only)
    ]
    broken = [each for each in judged if each.told is False]
    rules = tuple(each.rules for each in judged if each.told is not None and each.rules)
    return PackageVerdict(
        uniform=answer_of(all_of(each.told for each in judged)),
        broken=tuple(each.uneven() for each in broken),
        breakers=fewest_out(tuple(fruit.weight_dg for fruit in fruits), rules) if broken else (),
        not_judged=tuple(each.not_judged() for each in judged if each.told is None),
    )


@dataclass(frozen=True, slots=True)
class _JudgedWay:
    """One way to hold a limit. ``told`` without a row: no rule, or (None) nobody can say. ``missing`` is what was not
    taken or said."""

    measure: Measure
    told: Told
    rule: Rule | None = None
    row: Row | None = None
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _JudgedLimit:
    """A limit with all its ways."""

    limit: Limit
    ways: tuple[_JudgedWay, ...]

    @property
    def told(self) -> Told:
        """One way is enough; a way without a rule says nothing as long as another has one."""
        asked = [way.told for way in self.ways if way.row is not None or way.told is None]
        return any_of(asked) if asked else True

    @property
    def rules(self) -> tuple[Rule, ...]:
        """The ways that can be tried on fewer fruit; one without a row would let everything pass beside another."""
        ways = [way for way in self.ways if way.row is not None] or self.ways
        return tuple(way.rule for way in ways if way.rule is not None)

    def uneven(self) -> Uneven:
        """How it was broken: by the first of its ways."""
        way, rule, row = next((way, way.rule, way.row) for way in self.ways if way.rule and way.row)
        low, high = rule.ends()
        return Uneven(self.limit.id, self.limit.name, way.measure, rule.spread(), row.to, low, high, row.source)

    def not_judged(self) -> NotJudged:
        """What was not taken."""
        missing = dict.fromkeys(word for way in self.ways for word in way.missing)
        return NotJudged(self.limit.id, self.limit.name, tuple(missing))


class _Speaks(NamedTuple):
    """A row that may speak of a package, and what would have to be known of the load to say whether it does."""

    row: Row
    missing: tuple[str, ...]


class _Package:
    """The fruit of a package and what their label says."""

    def __init__(self, spec: Spec, fruits: Sequence[Fruit], class_id: str, code: str | None, load: Load) -> None:
        self.spec = spec
        self.class_id = class_id
        self.code = code
        self.load = load
        self.plan = plan_for(spec, load)
        self.fruits = tuple(FigureOf(self.plan, fruit) for fruit in fruits)

    def judge(self, way: Way) -> _JudgedWay:
        """Whether one way of a limit holds.

        While a fruit lacks a figure, too wide a spread is certain only if no smaller fruit could choose another row.
        """
        measure = replace(way.measure, take=Take.VALUE, of_label_size=False)
        rows = self._rows(way.rows)
        if not rows:
            return _JudgedWay(measure, told=True)
        among, missing = self._among(way.measure)
        guards = tuple(dict.fromkeys(when.measure for row, _ in rows for when in row.when))
        rule, lacking = self._rule(rows, measure, guards, among)
        missing = tuple(dict.fromkeys(missing + lacking))
        speaks = _first(rows, guards, rule.floor()) if rule.figures else None
        if speaks is not None and speaks.missing:
            return _JudgedWay(measure, None, missing=speaks.missing)
        over = speaks is not None and speaks.row.to.is_over(rule.spread())
        if missing and (guards or not over):
            return _JudgedWay(measure, None, missing=missing)
        return _JudgedWay(measure, not over, rule, None if speaks is None else speaks.row)

    def _rows(self, rows: tuple[Row, ...]) -> list[_Speaks]:
        """The rows that may speak, up to the first that surely does. Without a size on the label nobody can say which
        of the rows of a size does."""
        found: list[_Speaks] = []
        for row in rows:
            unsaid = unsaid_of(row, self.load)
            unlabelled = self.code is None and bool(row.sizes)
            if unsaid is None or not row.fits(self.class_id, row.sizes[0] if unlabelled else self.code):
                continue
            found.append(_Speaks(row, (*unsaid, SIZE_CODE) if unlabelled else unsaid))
            if not found[-1].missing and not row.when:
                break
        return found

    def _among(self, measure: Measure) -> tuple[list[int], tuple[str, ...]]:
        """The fruit that a spread is taken over, and what is missing to tell them."""
        if not measure.of_label_size:
            return list(range(len(self.fruits))), ()
        if self.code is None:
            return [], (SIZE_CODE,)
        sizes = [fruit.seen.sizes for fruit in self.fruits]
        told = [has_size(self.spec, each, self.code) for each in sizes]
        missing = (each.missing for each, has in zip(sizes, told, strict=True) if has is None)
        return [fruit for fruit, has in enumerate(told) if has], tuple(dict.fromkeys(missing))

    def _rule(
        self, rows: list[_Speaks], measure: Measure, guards: tuple[Measure, ...], among: list[int]
    ) -> tuple[Rule, tuple[str, ...]]:
        """The rule over the fruit that have every figure it needs, and what the others lack."""
        taken = [self._figures(each, among) for each in (measure, *guards)]
        known = [fruit for fruit in among if all(fruit in figures for figures in taken)]
        lacking = [
            each.of for each, figures in zip((measure, *guards), taken, strict=True) if len(figures) < len(among)
        ]

        def bound(smallest: tuple[Fraction, ...]) -> Bound | None:
            speaks = _first(rows, guards, smallest)
            return None if speaks is None else _NOTHING if speaks.missing else speaks.row.to

        figures, *others = [{fruit: each[fruit] for fruit in known} for each in taken]
        return Rule(figures, tuple(others), bound), tuple(word for words in lacking for word in words)

    def _figures(self, measure: Measure, among: list[int]) -> dict[int, Fraction]:
        """The figure of each fruit that has an exact one."""
        place = self.plan.place(measure)
        taken = {fruit: self.fruits[fruit][place] for fruit in among}
        return {fruit: Fraction(each.num, each.den) for fruit, each in taken.items() if each.extent is Extent.EXACT}


_NOTHING = Bound(high=Fraction(-1))


def _first(rows: list[_Speaks], guards: tuple[Measure, ...], smallest: tuple[Fraction, ...]) -> _Speaks | None:
    """The first row whose switches allow the smallest figures."""
    figures = dict(zip(guards, smallest, strict=True))
    return next(
        (each for each in rows if all(when.bound.allows(figures[when.measure]) for when in each.row.when)), None
    )
