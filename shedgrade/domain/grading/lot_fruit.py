"""The fruit of an inspection: what each holds and breaks, as written for a class and the size on the label.

Everything is yes, no, or not judged (None), so that what nobody looked at stays open and becomes a range in the count.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.grading.label import has_size, is_next_size
from shedgrade.domain.grading.lot_verdict import Inspection, Place
from shedgrade.domain.grading.one import Judged, grade
from shedgrade.domain.grading.package import PackageVerdict, judge_package
from shedgrade.domain.grading.plan import Answer, FigureOf, Table, plan_for
from shedgrade.domain.grading.takes import Extent, Sizes
from shedgrade.domain.grading.told import Told, all_of, any_of
from shedgrade.domain.grading.verdict import NotJudged
from shedgrade.domain.spec.limit import Level, Limit
from shedgrade.domain.spec.model import Spec


@dataclass(frozen=True, slots=True)
class _Known:
    """One fruit: its figures, the size it is judged for, and the answer of every limit by class and limit id. A limit
    that is not there asks nothing."""

    figures: FigureOf
    code: str | None
    table: Table
    answers: dict[str, dict[str, Answer]]


class LotFruit:
    """The fruit of one inspection under one spec. Answers are kept, because tolerances ask the same again and again."""

    def __init__(self, spec: Spec, inspected: Inspection) -> None:
        self.spec = spec
        self.inspected = inspected
        self.plan = plan_for(spec, inspected.load)
        self.limits = tuple(limit for limit in spec.limits if limit.level is Level.FRUIT)
        of_packages = (limit.id for limit in spec.limits if limit.level is Level.PACKAGE and inspected.packed)
        self.package_limits = frozenset(of_packages)
        self.places = tuple(
            Place(package, fruit) for package, fruits in enumerate(inspected.packages) for fruit in range(len(fruits))
        )
        self._known = {place: self._know(self.fruit(place)) for place in self.places}
        self._packages: dict[tuple[int, str, frozenset[str]], PackageVerdict] = {}

    def fruit(self, place: Place) -> Fruit:
        """The fruit at a place."""
        return self.inspected.packages[place.package][place.fruit]

    def sizes(self, place: Place) -> Sizes:
        """The sizes of a fruit."""
        return self._known[place].figures.seen.sizes

    def answer(self, place: Place, limit: Limit, class_id: str) -> Answer:
        """Whether a fruit holds a limit of level "fruit" or "tolerated"."""
        known = self._known[place]
        if limit.level is Level.FRUIT:
            return known.answers[class_id].get(limit.id, Answer.NO_RULE)
        ruling = self.plan.ruling(limit, class_id, known.code)
        return Answer.NO_RULE if ruling is None else ruling.judge(known.figures)

    def makes(self, place: Place, class_id: str, apart: frozenset[str]) -> Told:
        """Whether a fruit makes this class or a better one, leaving aside the limits named in ``apart``."""
        classes = [each.id for each in self.spec.classes]
        return any_of(self._holds_all(place, each, apart) for each in classes[: classes.index(class_id) + 1])

    def has(self, place: Place, kinds: tuple[str, ...]) -> Told:
        """Whether a fruit has one of these defect kinds."""
        there, extent = self._known[place].figures.seen.named(kinds)
        return True if there else False if extent is Extent.EXACT else None

    def has_size(self, place: Place) -> Told:
        """Whether a fruit has the size on the label; without one on it, any size."""
        return has_size(self.spec, self.sizes(place), self.inspected.code)

    def is_next_size(self, place: Place) -> Told:
        """Whether a fruit is of the size on the label or the next one up or down; without one on it, any will do."""
        code, variety = self.inspected.code, self.inspected.load.variety
        return code is None or is_next_size(self.spec, self.sizes(place), code, variety)

    def package(self, number: int, class_id: str, only: frozenset[str]) -> PackageVerdict:
        """Whether a package is uniform by some limits, as written for a class."""
        only &= self.package_limits
        key = (number, class_id, only)
        if key not in self._packages:
            inspected = self.inspected
            fruits = inspected.packages[number]
            self._packages[key] = judge_package(self.spec, fruits, class_id, inspected.code, inspected.load, only)
        return self._packages[key]

    def not_judged(self, place: Place, tolerated: Iterable[Limit], class_id: str) -> Iterator[NotJudged]:
        """The limits of any class, and those of tolerated fruit, that could not be judged."""
        known = self._known[place]
        judged = Judged(self.plan, known.figures.seen, known.figures, known.code)
        rulings = [self.plan.ruling(limit, class_id, known.code) for limit in tolerated]
        for ruling in (*known.table.checks, *rulings):
            if ruling is not None and ruling.judge(known.figures) is Answer.NOT_JUDGED:
                yield judged.not_judged(ruling)

    def _know(self, fruit: Fruit) -> _Known:
        """Judged for the size on the label; without one for that of its own which gives the best class."""
        figures = FigureOf(self.plan, fruit)
        code = self.inspected.code
        if code is None:
            code = grade(self.spec, fruit, load=self.inspected.load).judged_as
        unknown = code is None and figures.seen.sizes.missing
        table = self.plan.unsized if unknown else self.plan.tables[code]
        answers = [check.judge(figures) for check in table.checks]
        ids = [self.spec.limits[check.limit].id for check in table.checks]
        by_class = {
            each.id: {ids[number]: answers[number] for number in numbers}
            for each, numbers in zip(self.spec.classes, table.classes, strict=True)
        }
        return _Known(figures, code, table, by_class)

    def _holds_all(self, place: Place, class_id: str, apart: frozenset[str]) -> Told:
        answers = self._known[place].answers[class_id]
        return all_of(told(answer) for limit_id, answer in answers.items() if limit_id not in apart)


def told(answer: Answer) -> Told:
    """Whether a limit holds; one that says nothing of the fruit does."""
    return None if answer is Answer.NOT_JUDGED else answer is not Answer.BROKEN
