"""Oranges in layers and loose clementines, greatest difference in one package: citrus uniformity after Reg. (EEC)
920/89, as repeated by a trade page (second-hand).

Oranges in layers: 11 mm for codes 0 to 2, 9 mm for 3 to 6, 7 mm for 7 to 13. Loose fruit: the width of the code;
clementine code 4 is 50 to 60 mm.
"""

import pytest

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.package import judge_package
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, PASS


def round_fruit(*diameters_mm: int) -> list[Fruit]:
    return [Fruit(1500, measures=(("diameter", each * 10),)) for each in diameters_mm]


@pytest.mark.parametrize(
    ("code", "smallest_mm", "largest_mm", "answer"),
    [
        ("2", 84, 95, PASS),
        ("2", 84, 96, FAIL),
        ("3", 81, 90, PASS),
        ("3", 81, 91, FAIL),
        ("7", 67, 74, PASS),
        ("7", 67, 75, FAIL),
    ],
)
def test_oranges_in_layers(code: str, smallest_mm: int, largest_mm: int, answer: Answer) -> None:
    layers = Load(presentation="in layers")
    verdict = judge_package(standards()["orange-eu"], round_fruit(smallest_mm, largest_mm), "minimum", code, layers)
    assert verdict.uniform is answer


@pytest.mark.parametrize(("largest_mm", "answer"), [(60, PASS), (61, FAIL)])
def test_loose_clementines_of_code_4(largest_mm: int, answer: Answer) -> None:
    loose = Load(presentation="loose")
    verdict = judge_package(standards()["clementine-eu"], round_fruit(50, largest_mm), "minimum", "4", loose)
    assert verdict.uniform is answer
