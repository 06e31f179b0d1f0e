"""Mango, Australian industry class 1 standard of 2016 (read): 2 % of a lot may have a major fault, 10 % a minor one
over its limit.

A live insect is "nil": that is the limit for each fruit, while 2 % of the fruit may be over it, our reading; insects
under quarantine need a zero rule of their own.
"""

from fractions import Fraction

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit, Load, MaturityFigure
from shedgrade.domain.grading.lot import Inspection, judge_lot
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, NUMBER, PASS, lot

SPEC = standards()["mango-au-class1-2016"]
RIPE = Load(
    variety="R2E2",
    tests=(
        MaturityFigure("dry-matter", Fraction(16, 100), 10),
        MaturityFigure("brix", Fraction(1500), 10),
        MaturityFigure("firmness", Fraction(5, 2), 10),
    ),
)
GOOD = Fruit(4000, 4)
MAJOR = Fruit(4000, 4, (Defect("rot"),))
INSECT = Fruit(4000, 4, (Defect("pest-damage"),))
MINOR = Fruit(4000, 4, (Defect("sap-stain", 450),))


@pytest.mark.parametrize(
    ("major", "minor", "insects", "answer"),
    [(2, 10, 0, PASS), (3, 0, 0, FAIL), (0, 11, 0, FAIL), (0, 0, 1, PASS)],
)
def test_of_100_fruit(major: int, minor: int, insects: int, answer: Answer) -> None:
    fruits = lot((100 - major - minor - insects, GOOD), (major, MAJOR), (minor, MINOR), (insects, INSECT))
    verdict = judge_lot(SPEC, Inspection("1", None, NUMBER, (fruits,), RIPE))
    assert verdict.conforms is answer
