"""Whether one fruit holds one limit as written for a class and a size, and which figure says so.

For tolerances and packages, which ask single limits, also those of level "package" and "tolerated". The class of a
fruit is ``one.grade``'s.
"""

from dataclasses import dataclass

from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.one import Judged, figure
from shedgrade.domain.grading.plan import Answer, FigureOf, plan_for
from shedgrade.domain.grading.takes import Extent, Taken
from shedgrade.domain.grading.verdict import NotJudged, Reason
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.measure import Measure
from shedgrade.domain.spec.model import Spec

__all__ = ["Answer", "Extent", "Held", "Taken", "figure", "hold"]


@dataclass(frozen=True, slots=True)
class Held:
    """The answer for one limit: with the row that decided, the measure of its way and the figure taken.

    Of a limit with several ways it is the one that holds, else the first that has a row. All three are None when no
    row speaks of the fruit (NO_RULE) or when nobody can say which row does. ``reason`` is given for a broken limit and
    makes the sentence, ``not_judged`` says what was not taken.
    """

    answer: Answer
    row: Row | None = None
    measure: Measure | None = None
    taken: Taken | None = None
    reason: Reason | None = None
    not_judged: NotJudged | None = None


def hold(
    spec: Spec, limit: Limit, fruit: Fruit, class_id: str, code: str | None = None, load: Load = NOTHING_SAID
) -> Held:
    """Hold one limit against a fruit, as written for a class and a size code, which need not be the fruit's own.

    Raises GradingError for a spread, which is a package's, and for a kind or measure the crop does not know.
    """
    plan = plan_for(spec, load)
    ruling = plan.ruling(limit, class_id, code)
    if ruling is None:
        return Held(Answer.NO_RULE)
    figures = FigureOf(plan, fruit)
    answer = ruling.judge(figures)
    if answer is Answer.NO_RULE:
        return Held(answer)
    judged = Judged(plan, figures.seen, figures, code)
    deciding = ruling.deciding(figures)
    decided = next((each for each in deciding if each.judge(figures) is answer), deciding[0])
    row, measure, place = decided.check.row, decided.check.measure, decided.check.bounds.place
    known = decided.known
    return Held(
        answer=answer,
        row=row if known else None,
        measure=measure if known else None,
        taken=figures[place] if known else None,
        reason=judged.reason(class_id, ruling) if answer is Answer.BROKEN else None,
        not_judged=judged.not_judged(ruling) if answer is Answer.NOT_JUDGED else None,
    )
