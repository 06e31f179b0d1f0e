"""Italian specification of a kiwifruit with protected geographical indication, 2018, characteristics; mark: read.

Extra over 90 g, Class I over 80 g, both strictly; no Class II; 6.2 Brix at harvest.
"""

import pytest

from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load

SPEC = standards()["kiwifruit-pgi-italy"]


@pytest.mark.parametrize(("weight_dg", "class_id"), [(901, "Extra"), (900, "I"), (810, "I"), (801, "I"), (800, None)])
def test_a_fruit_of_just_the_least_weight_is_out(weight_dg: int, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(weight_dg)).class_id == class_id


@pytest.mark.parametrize(("brix", "class_id"), [("6.2 Brix", "Extra"), ("6.1 Brix", None)])
def test_sugar_at_harvest(brix: str, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(1000), load=load("Hayward", stage="harvest", brix=brix)).class_id == class_id


def test_the_weights_are_marked_read() -> None:
    assert {row.source.mark for row in SPEC.limit("least-weight").rows} == {Mark.READ}
