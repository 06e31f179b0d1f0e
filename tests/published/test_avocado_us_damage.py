"""US avocado, damage by skin marks, from an inspection training page; mark: second-hand.

Russet, scars or sunburn together of a greater extent than 10 % of the surface are damage, than 25 % serious damage.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.spec.library import standards

SPEC = standards()["avocado-us-damage"]


@pytest.mark.parametrize(
    ("share_bp", "step", "class_id"),
    [
        (1000, "no damage", "undamaged"),
        (1010, "damage", "not-serious"),
        (2500, "damage", "not-serious"),
        (2510, "serious damage", None),
    ],
)
def test_damage_is_more_than_the_figure(share_bp: int, step: str, class_id: str | None) -> None:
    halves = (Defect("corkiness", share_bp=share_bp // 2), Defect("sunburn", share_bp=share_bp - share_bp // 2))
    verdict = grade(SPEC, Fruit(2500, defects=halves))
    assert [name for _, _, name in verdict.severities] == [step]
    assert verdict.class_id == class_id
