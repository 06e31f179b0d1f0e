"""Apple, size tolerance: 10 % under the least diameter, but none 5 mm below it. UNECE/EU text, end of the tolerances
(read); the least diameter of 60 mm is that of Codex CXS 299-2010 as quoted by a gauge seller (second-hand).

"5 mm below" is read as 5 mm or more.
"""

from fractions import Fraction

import pytest

from shedgrade.domain.grading.facts import Fruit, Load, MaturityFigure
from shedgrade.domain.grading.lot import Inspection, judge_lot
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, NUMBER, PASS, lot

SPEC = standards()["apple-unece-ffv50"]
PACKED = Load(variety="Gala", presentation="loose", tests=(MaturityFigure("brix", Fraction(900), 10),))


def apple(diameter_dmm: int) -> Fruit:
    return Fruit(1200, measures=(("diameter", diameter_dmm), ("good-colour", 9000)))


@pytest.mark.parametrize(
    ("small", "diameter_dmm", "answer"),
    [
        (10, 570, PASS),  # 10.0 %
        (11, 570, FAIL),
        (1, 540, FAIL),  # 6 mm below: outside any tolerance
        (1, 550, FAIL),  # 5 mm below, our reading
        (1, 551, PASS),
    ],
)
def test_of_100_fruit(small: int, diameter_dmm: int, answer: Answer) -> None:
    fruits = lot((100 - small, apple(650)), (small, apple(diameter_dmm)))
    verdict = judge_lot(SPEC, Inspection("I", None, NUMBER, (fruits,), PACKED))
    assert verdict.conforms is answer
