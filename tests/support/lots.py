"""Lots of fruit for the checks of tolerances: so many of one kind, so many of another."""

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.grading.lot import Inspection, judge_lot
from shedgrade.domain.grading.lot_verdict import LotVerdict
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.tolerance import Basis

NUMBER, WEIGHT = Basis.NUMBER, Basis.WEIGHT
PASS, FAIL, OPEN = Answer.HOLDS, Answer.BROKEN, Answer.NOT_JUDGED


def lot(*parts: tuple[int, Fruit]) -> tuple[Fruit, ...]:
    """So many of each fruit, as one package."""
    return tuple(fruit for number, fruit in parts for _ in range(number))


def judged(
    spec: Spec, class_id: str, *packages: tuple[Fruit, ...], code: str | None = None, basis: Basis = NUMBER
) -> LotVerdict:
    """A lot packed as a class, of which nothing else is said."""
    return judge_lot(spec, Inspection(class_id, code, basis, packages))
