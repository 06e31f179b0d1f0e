"""Kiwifruit, quality tolerance of Class I: 10 % of the next class in each package. EU rule of 2011, as summed up by an
Italian control body (second-hand).
"""

from fractions import Fraction

from shedgrade.domain.grading.facts import Defect, Fruit, Load, MaturityFigure
from shedgrade.domain.grading.lot import Inspection, judge_lot
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, NUMBER, PASS, lot

SPEC = standards()["kiwifruit-eu"]
RIPE = Load(stage="packing", tests=(MaturityFigure("brix", Fraction(620), 10),))
ROUND = (("min-diameter", 450), ("max-diameter", 500))
ONE = Fruit(1000, measures=ROUND)
TWO = Fruit(1000, defects=(Defect("skin-mark", 150),), measures=ROUND)


def test_each_package_is_judged_not_the_lot() -> None:
    """10 packages of 12, three fruit of Class II in one: 2.5 % of the lot, 25 % of that package."""
    bad = lot((9, ONE), (3, TWO))
    verdict = judge_lot(SPEC, Inspection("I", None, NUMBER, (bad, *[lot((12, ONE))] * 9), RIPE))
    quality = verdict.tolerances[0]
    assert [use.answer for use in quality.part.uses] == [FAIL, *[PASS] * 9]
    assert {place.package for place in quality.part.breakers()} == {0}
    assert verdict.conforms is FAIL
    spread_out = tuple([lot((11, ONE), (1, TWO))] * 10)
    assert judge_lot(SPEC, Inspection("I", None, NUMBER, spread_out, RIPE)).conforms is PASS
