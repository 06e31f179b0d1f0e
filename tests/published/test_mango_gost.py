"""GOST 33882-2016, Fresh mango, table 1; area limits read (scanned, commas read as full stops).

Class I at most 3, 4, 5, 6 cm² for size groups A, B, C, D; Class II 5, 6, 7, 8 cm². Bruising: slight in Class I,
allowed in Class II. The weights of the groups were not in the copy: they are UNECE FFV-45's, from memory.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards

SPEC = standards()["mango-gost-33882"]
WEIGHT_DG = {"A": 3000, "C": 7000, "D": 9000}


@pytest.mark.parametrize(
    ("group", "area_mm2", "class_id"),
    [
        ("A", 300, "I"),
        ("A", 310, "II"),
        ("D", 600, "I"),
        ("D", 610, "II"),
        ("D", 800, "II"),
        ("D", 810, None),
        ("C", 450, "I"),
    ],
)
def test_the_area_limit_grows_with_the_size_group(group: str, area_mm2: int, class_id: str | None) -> None:
    verdict = grade(SPEC, Fruit(WEIGHT_DG[group], defects=(Defect("sap-stain", area_mm2),)))
    assert verdict.judged_as == group
    assert verdict.class_id == class_id


def test_stain_and_rub_are_added_up() -> None:
    """The text does not say whether the limit is for the sum; read as the sum: 2.0 + 1.5 is over 3 cm²."""
    marks = (Defect("sap-stain", 200), Defect("rub", 150))
    assert grade(SPEC, Fruit(WEIGHT_DG["A"], defects=marks)).class_id == "II"


def test_a_marked_bruise_is_allowed_in_class_ii_only() -> None:
    assert grade(SPEC, Fruit(3000, defects=(Defect("marked-bruise"),))).class_id == "II"


def test_the_limits_are_marked_read_and_the_weights_from_memory() -> None:
    rows = [row for row in SPEC.limit("skin-marks").rows if row.classes != ("Extra",)]
    assert {row.source.mark for row in rows} == {Mark.READ}
    assert {band.source.mark for band in SPEC.scale.bands} == {Mark.FROM_MEMORY}
