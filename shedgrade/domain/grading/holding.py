"""Whether one fruit holds one limit as written for a class and a size, and which figure says so.

For tolerances and packages, which ask single limits, also those of level "package" and "tolerated". The class of a
fruit is ``one.grade``'s.
"""

from dataclasses import dataclass

from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.one import figure
from shedgrade.domain.grading.plan import Answer, Extent, Taken, check_of
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.measure import Measure
from shedgrade.domain.spec.model import Spec

__all__ = ["Answer", "Extent", "Held", "Taken", "figure", "hold"]


@dataclass(frozen=True, slots=True)
class Held:
    """The answer for one limit: with the row that decided, the measure of its way and the figure taken.

    Of a limit with several ways it is the one that holds, else the first that has a row. All three are None when no
    row speaks of the fruit (NO_RULE) or when nobody can say which row does.
    """

    answer: Answer
    row: Row | None = None
    measure: Measure | None = None
    taken: Taken | None = None


def hold(
    spec: Spec, limit: Limit, fruit: Fruit, class_id: str, code: str | None = None, load: Load = NOTHING_SAID
) -> Held:
    """Hold one limit against a fruit, as written for a class and a size code, which need not be the fruit's own."""
    row = limit.row_for(class_id, code)
    if row is None:
        return Held(Answer.NO_RULE)
    taken = figure(spec, limit.measure, fruit, load)
    return Held(check_of(row).judge(taken), row, limit.measure, taken)
