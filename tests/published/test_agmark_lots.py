"""AGMARK, mango and apple grades (India), as repeated by trade pages that give the text (read).

Mango, Class II: 10 %, and those must still meet the minimum requirements; the limit of size group D is 7 cm². Apple,
Class I: 10 %, in it at most 1 % with decay or internal breakdown. What is held against AGMARK here, the 2 % of decay
within Class II of the standard layout, is second-hand: OECD brochure Avocados, as repeated by a trade page.
"""

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, PASS, judged, lot

MANGO = standards()["mango-agmark"]
APPLE = standards()["apple-agmark"]
TWO = Fruit(7000, defects=(Defect("sap-stain", 700),))
OVER = Fruit(7000, defects=(Defect("sap-stain", 710),))
ROTTEN = Fruit(7000, defects=(Defect("rot"),))


@pytest.mark.parametrize(("over", "rotten", "answer"), [(10, 0, PASS), (9, 1, FAIL), (8, 2, FAIL), (11, 0, FAIL)])
def test_tolerated_mangoes_meet_the_minimum_requirements(over: int, rotten: int, answer: Answer) -> None:
    fruits = lot((100 - over - rotten, TWO), (over, OVER), (rotten, ROTTEN))
    assert judged(MANGO, "II", fruits, code="D").conforms is answer


def test_the_standard_layout_tolerates_2_percent_of_decay_in_class_ii() -> None:
    avocado = standards()["avocado-trade-4kg"]
    two, over, rotten = (Fruit(2000, defects=(mark,)) for mark in _marks())
    assert judged(avocado, "II", lot((90, two), (8, over), (2, rotten))).conforms is PASS


def _marks() -> tuple[Defect, Defect, Defect]:
    return Defect("corkiness", 600), Defect("corkiness", 610), Defect("rot")


@pytest.mark.parametrize(("two", "breakdown", "answer"), [(18, 2, PASS), (17, 3, FAIL)])
def test_apples_with_internal_breakdown(two: int, breakdown: int, answer: Answer) -> None:
    """Of 200: 2 are 1.0 %, 3 are 1.5 %."""
    second, broken = Fruit(1500, defects=(Defect("misshape"),)), Fruit(1500, defects=(Defect("internal-breakdown"),))
    fruits = lot((200 - two - breakdown, Fruit(1500)), (two, second), (breakdown, broken))
    assert judged(APPLE, "I", fruits).conforms is answer
