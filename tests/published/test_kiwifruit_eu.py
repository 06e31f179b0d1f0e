"""EU marketing standard for kiwifruit; mark: second-hand.

Minimum weights: Reg. (EC) 1673/2004 as an Italian advisory sheet sums it up. Classes, shape, maturity: Reg. (EU)
543/2011 as an Italian control body sums it up. Skin: the summary says less than 1 and 2 cm², the English text as
remembered says does not exceed; read so that the figure itself is allowed, from memory, confirm against the text.
"""

import pytest

from shedgrade.domain.grading.holding import Answer, hold
from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures

SPEC = standards()["kiwifruit-eu"]
ROUND = measures(SPEC.crop, min_diameter="50 mm", max_diameter="50 mm")


@pytest.mark.parametrize(
    ("weight_g", "class_id"), [(90, "Extra"), (89, "I"), (70, "I"), (69, "II"), (65, "II"), (64, None)]
)
def test_each_class_has_its_least_weight(weight_g: int, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(weight_g * 10, measures=ROUND)).class_id == class_id


@pytest.mark.parametrize(("area_mm2", "class_id"), [(90, "I"), (100, "I"), (110, "II"), (200, "II"), (210, None)])
def test_skin_marks_up_to_the_figure_itself_from_memory(area_mm2: int, class_id: str | None) -> None:
    fruit = Fruit(1000, defects=(Defect("skin-mark", area_mm2),), measures=ROUND)
    assert grade(SPEC, fruit).class_id == class_id


@pytest.mark.parametrize(
    ("least", "greatest", "class_id"),
    [
        ("40 mm", "50 mm", "Extra"),  # 0.80
        ("39.5 mm", "50 mm", "I"),  # 0.79
        ("35 mm", "50 mm", "I"),  # 0.70
        ("34.9 mm", "50 mm", "II"),  # 0.698
    ],
)
def test_shape_is_the_least_diameter_over_the_greatest(least: str, greatest: str, class_id: str) -> None:
    shape = measures(SPEC.crop, min_diameter=least, max_diameter=greatest)
    assert grade(SPEC, Fruit(1000, measures=shape)).class_id == class_id


@pytest.mark.parametrize(
    ("stage", "brix", "dry_matter", "answer"),
    [
        ("packing", "6.2 Brix", "14 %", Answer.HOLDS),
        ("packing", "6.0 Brix", "15 %", Answer.HOLDS),
        ("packing", "6.1 Brix", "14.9 %", Answer.BROKEN),
        ("distribution", "9.5 Brix", "14 %", Answer.HOLDS),  # the sheet of 2004 says above 9.5: read as at least
        ("distribution", "9.4 Brix", "16 %", Answer.BROKEN),  # dry matter stands in for Brix at packing only
    ],
)
def test_maturity_is_brix_or_dry_matter_by_the_stage_of_marketing(
    stage: str, brix: str, dry_matter: str, answer: Answer
) -> None:
    tested = load("Hayward", stage=stage, brix=brix, dry_matter=dry_matter)
    assert hold(SPEC, SPEC.limit("maturity"), Fruit(1000), "I", load=tested).answer is answer


def test_without_a_test_or_a_stage_maturity_is_not_judged() -> None:
    for unknown in (load("Hayward", brix="7 Brix"), load("Hayward", stage="packing")):
        assert hold(SPEC, SPEC.limit("maturity"), Fruit(1000), "I", load=unknown).answer is Answer.NOT_JUDGED


def test_what_is_from_memory_says_so() -> None:
    marks = {row.classes: row.source.mark for row in SPEC.limit("skin-marks").rows}
    assert marks == {("Extra",): Mark.OUR_READING, ("I",): Mark.FROM_MEMORY, ("II",): Mark.FROM_MEMORY}
    assert {row.source.mark for row in SPEC.limit("least-weight").rows} == {Mark.SECOND_HAND}
    assert {row.source.mark for row in SPEC.limit("floor").rows} == {Mark.FROM_MEMORY}
