"""AGMARK, mango grades (India), as repeated by a trade page that gives the text; area limits read.

Class I at most 2, 3, 4, 5 cm² for size groups A, B, C, D; Class II 4, 5, 6, 7 cm². The weights of the groups are
from memory: confirm against the text. The cases name the group; the weight below is one that lies in it.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards

SPEC = standards()["mango-agmark"]
WEIGHT_DG = {"B": 3000, "C": 4500, "D": 7000}


@pytest.mark.parametrize(
    ("group", "area_mm2", "class_id"),
    [
        ("B", 300, "I"),
        ("B", 310, "II"),
        ("B", 500, "II"),
        ("B", 510, None),
        ("D", 500, "I"),
        ("D", 510, "II"),
        ("D", 700, "II"),
        ("D", 710, None),
        ("C", 450, "II"),  # its limit for Class I is 4 cm², where GOST's group C has 5
    ],
)
def test_the_area_limit_grows_with_the_size_group(group: str, area_mm2: int, class_id: str | None) -> None:
    verdict = grade(SPEC, Fruit(WEIGHT_DG[group], defects=(Defect("sap-stain", area_mm2),)))
    assert verdict.judged_as == group
    assert verdict.class_id == class_id


def test_the_limits_are_marked_read_and_the_weights_from_memory() -> None:
    rows = [row for row in SPEC.limit("skin-marks").rows if row.classes != ("Extra",)]
    assert {row.source.mark for row in rows} == {Mark.READ}
    assert {band.source.mark for band in SPEC.scale.bands} == {Mark.FROM_MEMORY}


def test_a_group_is_not_the_same_weight_as_the_codex_group_of_that_letter() -> None:
    codex = standards()["mango-codex-cxs184"]
    assert SPEC.scale.codes(3000) == ("B",)
    assert codex.scale.codes(3000) == ("A",)
