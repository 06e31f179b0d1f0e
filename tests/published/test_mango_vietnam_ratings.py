"""Vietnam fruit research institute, mango defect guide, rating scales; mark: read.

Rating 0 nil, 1 under 1 cm², 2 from 1 to 3, 3 from 3 to 12, 4 over 12. Exactly 3 and exactly 12 stand in two ratings:
read as the milder one.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards

SPEC = standards()["mango-vietnam-ratings"]


@pytest.mark.parametrize("kind", ["blotch", "healed-bruise"])
@pytest.mark.parametrize(("area_mm2", "rating"), [(0, 0), (90, 1), (100, 2), (300, 2), (310, 3), (1200, 3), (1210, 4)])
def test_the_rating_of_an_area(kind: str, area_mm2: int, rating: int) -> None:
    verdict = grade(SPEC, Fruit(4000, defects=(Defect(kind, area_mm2),)))
    number = {severity: step for severity, step, _ in verdict.severities}
    rated, other = ("skin-rating", "bruise-rating") if kind == "blotch" else ("bruise-rating", "skin-rating")
    assert (number[rated], number[other]) == (rating, 0)
    assert verdict.class_id == "rated"


def test_the_steps_are_marked_read() -> None:
    assert {step.source.mark for severity in SPEC.severities for step in severity.steps} == {Mark.READ}
