"""A spec read the slow way, straight from its values: what the grader must agree with.

Nothing is prepared or kept. A figure is the interval it may lie in, a limit is asked row by row for every class.
"""

from collections.abc import Collection
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.grading.facts import Defect, Fruit, Load, blemish_surface_mm2
from shedgrade.domain.spec.limit import Level, Limit, Row, Way
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT, By, Measure, Take
from shedgrade.domain.spec.model import Spec

HOLDS, BROKEN, UNSURE, NO_RULE = "holds", "broken", "unsure", "no rule"
_TINY = Fraction(1, 10**15)


class Between(NamedTuple):
    """From ``low`` (not itself if ``over``) to ``high``; None is without end."""

    low: Fraction
    high: Fraction | None
    over: bool = False


def exactly(value: Fraction | int) -> Between:
    return Between(Fraction(value), Fraction(value))


UNKNOWN = Between(Fraction(0), None)


class SlowReader:
    """One fruit of a load under a spec, for one size code; ``size_known`` False: nobody can tell its size."""

    def __init__(self, spec: Spec, fruit: Fruit, load: Load, code: str | None) -> None:
        self.spec, self.fruit, self.load, self.code = spec, fruit, load, code
        codes, self.size_known = size_codes(spec, fruit, load)
        self.size_known = self.size_known or code is not None
        self.n_codes = codes

    # figures

    def of_name(self, name: str) -> Fraction | None:
        if name == WEIGHT:
            return Fraction(self.fruit.weight_dg)
        if name == COLOUR_STAGE:
            return None if self.fruit.stage is None else Fraction(self.fruit.stage)
        measure = self.spec.crop.measure(name)
        if measure.on is not TakenOn.FRUIT:
            return {test.measure: test.mean for test in self.load.tests}.get(name)
        stored = dict(self.fruit.measures).get(name)
        return None if stored is None else measure.base(stored)

    def figure(self, measure: Measure) -> Between:
        if measure.take is Take.CODES:
            return self.how_many_codes()
        if measure.take is Take.SEVERITY:
            return self.step_of(measure.of[0])
        if measure.take is Take.PRESENT:
            return self.kinds_there(measure)
        if measure.take is Take.PLACES or measure.by is not None:
            return self.as_on(measure, self.marks(measure))
        values = [self.of_name(name) for name in measure.of]
        if measure.take is Take.RATIO:
            return self.ratio(measure, *values)
        total = sum((value for value in values if value is not None), Fraction(0))
        return Between(total, None) if None in values else exactly(total)

    def ratio(self, measure: Measure, top: Fraction | None, bottom: Fraction | None) -> Between:
        if top is None or not bottom:
            return UNKNOWN
        return exactly((top / self.unit(measure.of[0]).base) / (bottom / self.unit(measure.of[1]).base))

    def unit(self, name: str) -> Unit:
        if name in (WEIGHT, COLOUR_STAGE):
            return Unit.GRAM if name == WEIGHT else Unit.NUMBER
        return self.spec.crop.measure(name).unit

    def how_many_codes(self) -> Between:
        sure, perhaps = self.n_codes
        if perhaps is None:
            return UNKNOWN
        return Between(Fraction(len(sure)), Fraction(len(sure) + perhaps))

    def step_of(self, severity_id: str) -> Between:
        severity = next(each for each in self.spec.severities if each.id == severity_id)
        found = self.figure(severity.measure)

        def number(value: Fraction) -> int:
            if not value:
                return 0
            inside = [place for place, step in enumerate(severity.steps, 1) if step.to.allows(value)]
            reached = [place for place, step in enumerate(severity.steps, 1) if not step.to.is_under(value)]
            return min(inside) if inside else max(reached, default=0)

        low = number(found.low + _TINY if found.over else found.low)
        return Between(Fraction(low), None if found.high is None else Fraction(number(found.high)))

    def counted(self, measure: Measure) -> tuple[list[Defect], list[Defect], bool]:
        """The marks that count, those that may too, and whether all kinds were looked for."""
        kinds = set(measure.of)
        if measure.states:
            kinds = {k for k in kinds if set(self.spec.crop.kind(k).states) & set(measure.states)}
        there = [mark for mark in self.fruit.defects if mark.kind in kinds and mark.is_there]
        sure, perhaps = there, there
        if measure.states:
            sure = [mark for mark in there if mark.states is not None and mark.states & set(measure.states)]
            perhaps = [mark for mark in there if mark.states is None or mark.states & set(measure.states)]
        return sure, perhaps, self.fruit.looked_for is None or kinds <= self.fruit.looked_for

    def kinds_there(self, measure: Measure) -> Between:
        sure, perhaps, all_looked_for = self.counted(measure)
        high = Fraction(len({mark.kind for mark in perhaps})) if all_looked_for else None
        return Between(Fraction(len({mark.kind for mark in sure})), high)

    def marks(self, measure: Measure) -> Between:
        sure, perhaps, all_looked_for = self.counted(measure)
        low, gaps = self.together(measure, [self.size(mark, measure) for mark in sure])
        high, open_end = self.together(measure, [self.size(mark, measure) for mark in perhaps])
        over = gaps and (measure.take is not Take.LARGEST or not low)
        return Between(low, high if all_looked_for and not open_end else None, over)

    def size(self, mark: Defect, measure: Measure) -> Fraction | None:
        if measure.take is Take.PLACES or measure.by is None:
            return Fraction(1 if mark.places is None else mark.places)
        if measure.by is By.LENGTH:
            return None if mark.length_dmm is None else Fraction(mark.length_dmm)
        surface = blemish_surface_mm2(self.fruit.weight_dg)
        area = None if mark.area_mm2 is None else Fraction(mark.area_mm2)
        share = None if mark.share_bp is None else Fraction(mark.share_bp, 10_000)
        if measure.by is By.AREA:
            return area if area is not None else None if share is None else share * surface
        return share if share is not None else None if area is None else area / surface

    def together(self, measure: Measure, sizes: list[Fraction | None]) -> tuple[Fraction, bool]:
        known = [size for size in sizes if size is not None]
        top = max(known, default=Fraction(0)) if measure.take is Take.LARGEST else sum(known, Fraction(0))
        return top, None in sizes

    def as_on(self, measure: Measure, found: Between) -> Between:
        if measure.as_on is None:
            return found
        reference, own = measure.as_on, self.of_name(measure.as_on.of)
        if reference.of == WEIGHT:
            factor = Fraction(blemish_surface_mm2(int(reference.size)), blemish_surface_mm2(self.fruit.weight_dg))
        elif own:
            factor = (reference.size / own) ** 2
        else:
            return found if found.high == 0 else Between(Fraction(0), None, bool(found.low) or found.over)
        return Between(found.low * factor, None if found.high is None else found.high * factor, found.over)

    # answers

    def inside(self, measure: Measure, bound: Bound) -> str:
        low, high, over = self.figure(measure)
        past = bound.high is not None and (low > bound.high or (low == bound.high and (over or not bound.high_closed)))
        short = high is not None and bound.is_under(high)
        if past or short:
            return BROKEN
        reached = not bound.is_under(low) or (over and low == bound.low)
        within = bound.high is None or (high is not None and not bound.is_over(high))
        return HOLDS if reached and within else UNSURE

    def speaks(self, row: Row, class_id: str) -> str:
        if row.classes and class_id not in row.classes:
            return BROKEN
        answers = [
            _named(row.sizes, self.code, known=self.size_known),
            *(
                _named(named, said, known=said is not None)
                for named, said in (
                    (row.varieties, self.load.variety),
                    (row.stages, self.load.stage),
                    (row.destinations, self.load.destination),
                    (row.grown_in, self.load.grown_in),
                    (row.presentations, self.load.presentation),
                )
            ),
            self.in_days(row),
        ]
        answers += [self.inside(when.measure, when.bound) for when in row.when]
        return BROKEN if BROKEN in answers else UNSURE if UNSURE in answers else HOLDS

    def in_days(self, row: Row) -> str:
        if row.days is None:
            return HOLDS
        if self.load.day is None:
            return UNSURE
        return HOLDS if row.days.holds(self.load.day.month, self.load.day.day) else BROKEN

    def way(self, way: Way, class_id: str) -> str:
        for row in way.rows:
            speaks = self.speaks(row, class_id)
            if speaks == HOLDS:
                return self.inside(way.measure, row.to)
            if speaks == UNSURE:
                return UNSURE
        return NO_RULE

    def limit(self, limit: Limit, class_id: str) -> str:
        answers = {self.way(way, class_id) for way in limit.ways} - {NO_RULE}
        if not answers:
            return NO_RULE
        return HOLDS if HOLDS in answers else UNSURE if UNSURE in answers else BROKEN

    def of_class(self, class_id: str, answer: str) -> list[str]:
        """The limits of a class that have this answer."""
        mine = (limit for limit in self.spec.limits if limit.level is Level.FRUIT)
        return [limit.id for limit in mine if self.limit(limit, class_id) == answer]

    def class_id(self) -> str | None:
        return next((each.id for each in self.spec.classes if not self.of_class(each.id, BROKEN)), None)


def _named(named: Collection[str], said: str | None, *, known: bool) -> str:
    if not named:
        return HOLDS
    if not known:
        return UNSURE
    return HOLDS if said in named else BROKEN


def size_codes(spec: Spec, fruit: Fruit, load: Load) -> tuple[tuple[tuple[str, ...], int | None], bool]:
    """The codes it surely has, how many more it may have (None: no figure), and whether its size is known."""
    scale = spec.scale
    bare = SlowReader.__new__(SlowReader)
    bare.spec, bare.fruit, bare.load = spec, fruit, load
    figure = bare.of_name(scale.of)
    if figure is None:
        return ((), None), False
    codes = scale.codes(figure, load.variety)
    if load.variety is not None:
        return (codes, 0), True
    value = scale.looked_up(figure)
    perhaps = len({band.name for band in scale.bands if band.varieties and band.to.allows(value)} - set(codes))
    return (codes, perhaps), bool(codes) or not perhaps
