"""UNECE FFV-45, mangoes, edition 2017: Class I 10 %, in it at most 1 % worse than Class II or decayed.

Inferred: the edition follows the standard layout of 2017 (read in its front matter), whose figures were read in the
texts for avocado and apple. Bands and area limits as in the spec.
"""

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, PASS, judged, lot

SPEC = standards()["mango-unece-ffv45"]
ONE = Fruit(3000, defects=(Defect("sap-stain", 300),))
TWO = Fruit(3000, defects=(Defect("sap-stain", 500),))
DECAYED = Fruit(3000, defects=(Defect("rot"),))


@pytest.mark.parametrize(("two", "decayed", "answer"), [(18, 2, PASS), (17, 3, FAIL)])
def test_class_i_of_200_fruit(two: int, decayed: int, answer: Answer) -> None:
    fruits = lot((200 - two - decayed, ONE), (two, TWO), (decayed, DECAYED))
    assert judged(SPEC, "I", fruits, code="A").conforms is answer
