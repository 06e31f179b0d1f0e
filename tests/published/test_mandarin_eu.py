"""EU marketing standard for citrus fruit, Reg. (EU) 543/2011, mandarins other than clementines, as an Italian control
body sums it up; mark: second-hand. Typical colour on at least a third of the surface, juice 33 %, sugar to acid 6.5 for
Satsuma and 7.5 for others.
"""

import pytest

from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures

SPEC = standards()["mandarin-eu"]


def makes_it(variety: str, colour: str = "100 %", juice: str = "40 %", sugar_acid: str = "9") -> bool:
    fruit = Fruit(1000, measures=measures(SPEC.crop, diameter="55 mm", colour_share=colour))
    return grade(SPEC, fruit, load=load(variety, juice=juice, sugar_acid=sugar_acid)).class_id is not None


@pytest.mark.parametrize(("colour", "passes"), [("33 %", False), ("33.33 %", False), ("34 %", True)])
def test_a_third_is_a_third(colour: str, passes: bool) -> None:
    assert makes_it("Murcott", colour=colour) is passes


def test_juice_and_sugar_by_variety() -> None:
    assert makes_it("Murcott", juice="33 %", sugar_acid="7.5")
    assert not makes_it("Murcott", juice="32.9 %", sugar_acid="7.5")
    assert not makes_it("Murcott", sugar_acid="7.4")
    assert makes_it("Satsuma", sugar_acid="6.5")
    assert not makes_it("Satsuma", sugar_acid="6.4")
