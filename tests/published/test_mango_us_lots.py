"""Mango, US Standards for Grades of Mangos of 24 August 2007, section 51.1044 (read): Fancy, by count, at most 10 %
fail, in it at most 5 % with damage, in that at most 2 % with decay.
"""

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.one import GradingError
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, PASS, WEIGHT, judged, lot

SPEC = standards()["mango-us-2007"]
GOOD = Fruit(4000)
OFF = Fruit(4000, defects=(Defect("misshape"),))
DAMAGED = Fruit(4000, defects=(Defect("unhealed-wound"),))
DECAYED = Fruit(4000, defects=(Defect("rot"),))


@pytest.mark.parametrize(
    ("off", "damaged", "decayed", "answer"),
    [
        (30, 15, 6, PASS),  # 10 %, 5 %, 2 %
        (30, 15, 7, FAIL),  # 2.33 % decay
        (29, 16, 0, FAIL),  # 5.33 % damage
        (31, 0, 0, FAIL),  # 10.33 %
    ],
)
def test_of_300_fruit(off: int, damaged: int, decayed: int, answer: Answer) -> None:
    """Each figure includes the next: ``damaged`` of the ``off`` have damage, ``decayed`` of these decay."""
    fruits = lot((300 - off, GOOD), (off - damaged, OFF), (damaged - decayed, DAMAGED), (decayed, DECAYED))
    assert judged(SPEC, "Fancy", fruits).conforms is answer


def test_it_goes_by_count_alone() -> None:
    with pytest.raises(GradingError, match="by number, not by weight"):
        judged(SPEC, "Fancy", lot((300, GOOD)), basis=WEIGHT)
