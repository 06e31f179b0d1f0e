"""Kiwifruit, greatest difference in one package (EU rule of 2004, as summed up by an Italian advisory sheet,
second-hand): 10 g under 85 g, 15 g from 85 to 120 g, 20 g from 120 to 150 g, 40 g from 150 g.

Which fruit decides the step is not in the text: the lightest, our reading. A fruit of 120 g stands in two steps; the
other steps show that lower ends are closed, so it takes 20 g, our reading as well.
"""

import pytest

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.grading.package import judge_package
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, PASS

SPEC = standards()["kiwifruit-eu"]


@pytest.mark.parametrize(
    ("lightest_g", "heaviest_g", "answer"),
    [
        (74, 84, PASS),
        (73, 84, FAIL),
        (85, 100, PASS),
        (85, 101, FAIL),
        (84, 95, FAIL),  # 11 g: over the lightest fruit's 10 g, within the heaviest one's 15 g
        (120, 138, PASS),
        (150, 190, PASS),
        (150, 191, FAIL),
    ],
)
def test_the_lightest_fruit_decides_how_far_a_package_may_spread(
    lightest_g: int, heaviest_g: int, answer: Answer
) -> None:
    fruits = [Fruit(heaviest_g * 10), Fruit(lightest_g * 10), Fruit((lightest_g + heaviest_g) * 5)]
    verdict = judge_package(SPEC, fruits, "II")
    assert verdict.uniform is answer
    assert len(verdict.breakers) == (answer is FAIL)


def test_the_steps_are_second_hand() -> None:
    assert {row.source.mark for row in SPEC.limit("spread").rows} == {Mark.SECOND_HAND}
