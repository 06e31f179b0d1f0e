"""Codex CXS 184-1993, mangoes: greatest difference in a package (section 3) and size tolerance (4.2), all from memory,
confirm against the text.

A package may differ by 75, 100, 125 g in sizes A, B, C; 10 % of the fruit may be of another size, within 180 to 425,
251 to 650, 426 to 925 g, and then the package may differ by one and a half times as much.
"""

import pytest

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.grading.package import judge_package
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.lots import FAIL, PASS, judged, lot

SPEC = standards()["mango-codex-cxs184"]


def grams(*weights: int) -> tuple[Fruit, ...]:
    return tuple(Fruit(weight * 10) for weight in weights)


@pytest.mark.parametrize(
    ("code", "lightest_g", "heaviest_g", "answer"),
    [("B", 400, 500, PASS), ("B", 400, 501, FAIL), ("A", 260, 335, PASS), ("A", 260, 336, FAIL)],
)
def test_how_far_a_package_may_spread(code: str, lightest_g: int, heaviest_g: int, answer: Answer) -> None:
    assert judge_package(SPEC, grams(lightest_g, heaviest_g), "I", code).uniform is answer


def test_two_of_twenty_may_be_of_another_size() -> None:
    """Two of 600 g, the smallest beside each 450 g: 10 %, inside 251 to 650 g, 150 g apart."""
    packages = [(*grams(450, 600), *grams(500) * 8)] * 2
    assert judged(SPEC, "I", *packages, code="B").conforms is PASS
    packages = [(*grams(449, 600), *grams(500) * 8)] * 2
    assert judged(SPEC, "I", *packages, code="B").conforms is FAIL


@pytest.mark.parametrize(
    ("code", "most_g", "odd_g", "answer"),
    [
        ("B", 520, 651, FAIL),  # outside the window, at any share
        ("A", 230, 185, PASS),
        ("A", 230, 179, FAIL),
        ("C", 790, 925, PASS),
        ("C", 790, 926, FAIL),
    ],
)
def test_one_of_twenty_outside_the_size(code: str, most_g: int, odd_g: int, answer: Answer) -> None:
    fruits = lot((19, Fruit(most_g * 10)), (1, Fruit(odd_g * 10)))
    assert judged(SPEC, "I", fruits, code=code).conforms is answer


def test_what_is_from_memory_says_so() -> None:
    limits = [SPEC.limit(each) for each in ("spread", "spread-with-tolerance", "size-window")]
    assert {row.source.mark for limit in limits for row in limit.rows} == {Mark.FROM_MEMORY}
    (size,) = [each for each in SPEC.tolerances if each.id == "size"]
    assert size.source.mark is Mark.FROM_MEMORY
