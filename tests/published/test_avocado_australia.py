"""Fresh Markets Australia, specification for the avocado 4-pack, 1 November 2006, the start; mark: read.

Dry matter over 21 % and under 35 %. Class one: a hail mark over 1 cm², rub marks over 2 cm², sunburn over 1 cm², more
than 20 attached scale are faults; length to width at most 1.5.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures

SPEC = standards()["avocado-au-4pack"]


@pytest.mark.parametrize(
    ("dry_matter", "class_id"), [("21.0 %", None), ("21.1 %", "I"), ("34.9 %", "I"), ("35.0 %", None)]
)
def test_dry_matter_has_two_open_ends(dry_matter: str, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(2000), load=load("Hass", dry_matter=dry_matter)).class_id == class_id


@pytest.mark.parametrize(
    ("mark", "class_id"),
    [
        (Defect("hail-mark", 100), "I"),
        (Defect("hail-mark", 101), None),
        (Defect("rub", 200), "I"),
        (Defect("rub", 201), None),
        (Defect("sunburn", 100), "I"),
        (Defect("sunburn", 101), None),
        (Defect("scale", places=20), "I"),
        (Defect("scale", places=21), None),
    ],
)
def test_marks(mark: Defect, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(2000, defects=(mark,))).class_id == class_id


@pytest.mark.parametrize(("length", "class_id"), [("105 mm", "I"), ("105.1 mm", None)])
def test_length_to_width(length: str, class_id: str | None) -> None:
    fruit = Fruit(2000, measures=measures(SPEC.crop, length=length, width="70 mm"))
    assert grade(SPEC, fruit).class_id == class_id
