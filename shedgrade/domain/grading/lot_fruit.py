"""The fruit of an inspection: what each holds and breaks, as written for a class and the size on the label.

Everything is yes, no, or not judged (None), so that what nobody looked at stays open and becomes a range in the count.
"""

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.grading.holding import Answer, hold
from shedgrade.domain.grading.label import has_size, own_sizes
from shedgrade.domain.grading.lot_verdict import Inspection, Place
from shedgrade.domain.grading.package import PackageVerdict, judge_package
from shedgrade.domain.grading.told import Told, all_of, any_of
from shedgrade.domain.spec.limit import Level, Limit
from shedgrade.domain.spec.model import Spec


class LotFruit:
    """The fruit of one inspection under one spec. Answers are kept, because tolerances ask the same again and again."""

    def __init__(self, spec: Spec, inspected: Inspection) -> None:
        self.spec = spec
        self.inspected = inspected
        self.limits = tuple(limit for limit in spec.limits if limit.level is Level.FRUIT)
        self.package_limits = frozenset(limit.id for limit in spec.limits if limit.level is Level.PACKAGE)
        self.places = tuple(
            Place(package, fruit) for package, fruits in enumerate(inspected.packages) for fruit in range(len(fruits))
        )
        self._answers: dict[tuple[Place, str, str, str | None], Answer] = {}
        self._codes: dict[Place, str | None] = {}
        self._packages: dict[tuple[int, str, frozenset[str]], PackageVerdict] = {}

    def fruit(self, place: Place) -> Fruit:
        """The fruit at a place."""
        return self.inspected.packages[place.package][place.fruit]

    def answer(self, place: Place, limit: Limit, class_id: str) -> Answer:
        """Whether a fruit holds a limit of level "fruit" or "tolerated"."""
        return self._answer(place, limit, class_id, self.code(place))

    def makes(self, place: Place, class_id: str, apart: frozenset[str]) -> Told:
        """Whether a fruit makes this class or a better one, leaving aside the limits named in ``apart``."""
        classes = [each.id for each in self.spec.classes]
        return any_of(self._holds_all(place, each, apart) for each in classes[: classes.index(class_id) + 1])

    def has(self, place: Place, kinds: tuple[str, ...]) -> Told:
        """Whether a fruit has one of these defect kinds."""
        fruit = self.fruit(place)
        if any(defect.kind in kinds and defect.is_there for defect in fruit.defects):
            return True
        return False if fruit.looked_for is None or fruit.looked_for.issuperset(kinds) else None

    def has_size(self, place: Place) -> Told:
        """Whether a fruit has the size on the label; without one on it, any size."""
        return has_size(self.spec, self.fruit(place), self.inspected.code, self.inspected.load)

    def package(self, number: int, class_id: str, only: frozenset[str]) -> PackageVerdict:
        """Whether a package is uniform by some limits, as written for a class."""
        key = (number, class_id, only)
        if key not in self._packages:
            inspected = self.inspected
            fruits = inspected.packages[number]
            self._packages[key] = judge_package(self.spec, fruits, class_id, inspected.code, inspected.load, only)
        return self._packages[key]

    def code(self, place: Place) -> str | None:
        """The size a fruit is judged for: the label's; without one that of its own which gives the best class."""
        if self.inspected.code is not None:
            return self.inspected.code
        if place not in self._codes:
            sizes = own_sizes(self.spec, self.fruit(place), self.inspected.load) or (None,)
            self._codes[place] = min(sizes, key=lambda code: self._best(place, code))
        return self._codes[place]

    def _best(self, place: Place, code: str | None) -> int:
        """The place of the best class that a fruit does not break for a size."""
        for number, each in enumerate(self.spec.classes):
            if all(self._answer(place, limit, each.id, code) is not Answer.BROKEN for limit in self.limits):
                return number
        return len(self.spec.classes)

    def _holds_all(self, place: Place, class_id: str, apart: frozenset[str]) -> Told:
        return all_of(told(self.answer(place, limit, class_id)) for limit in self.limits if limit.id not in apart)

    def _answer(self, place: Place, limit: Limit, class_id: str, code: str | None) -> Answer:
        key = (place, limit.id, class_id, code)
        if key not in self._answers:
            self._answers[key] = hold(self.spec, limit, self.fruit(place), class_id, code, self.inspected.load).answer
        return self._answers[key]


def told(answer: Answer) -> Told:
    """Whether a limit holds; one that says nothing of the fruit does."""
    return None if answer is Answer.NOT_JUDGED else answer is not Answer.BROKEN
