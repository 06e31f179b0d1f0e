"""Apple, greatest difference in one package.

Class I loose or in a sales package: 35 g from 70 to 135 g, 70 g to 300 g, 100 g over it; Class II so packed has no
rule: UNECE/EU text, end of the sizing section (read). In rows and layers 15 g for fruit of 70 to 90 g: UNECE FFV-50 of
2020 as quoted by a university's product pages (second-hand). Which fruit decides the step is not in the text: the
lightest, our reading.
"""

import pytest

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.package import judge_package
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, PASS

SPEC = standards()["apple-unece-ffv50"]


@pytest.mark.parametrize(
    ("class_id", "presentation", "lightest_g", "heaviest_g", "answer"),
    [
        ("I", "loose", 100, 135, PASS),
        ("I", "loose", 100, 136, FAIL),
        ("I", "loose", 136, 206, PASS),
        ("I", "loose", 136, 207, FAIL),
        ("I", "loose", 301, 401, PASS),
        ("I", "loose", 301, 402, FAIL),
        ("II", "loose", 100, 250, PASS),
        ("I", "in rows and layers", 72, 87, PASS),
        ("I", "in rows and layers", 72, 88, FAIL),
    ],
)
def test_how_far_a_package_may_spread(
    class_id: str, presentation: str, lightest_g: int, heaviest_g: int, answer: Answer
) -> None:
    fruits = [Fruit(lightest_g * 10), Fruit(heaviest_g * 10)]
    load = Load(variety="Gala", presentation=presentation)
    assert judge_package(SPEC, fruits, class_id, load=load).uniform is answer


def test_how_it_is_packed_must_be_said() -> None:
    verdict = judge_package(SPEC, [Fruit(1000), Fruit(1300)], "I", load=Load(variety="Gala"))
    assert (verdict.uniform, verdict.not_judged[0].missing) == (Answer.NOT_JUDGED, ("presentation",))
