"""UNECE FFV-42, avocado; mark: second-hand. Classes as the OECD brochure's pages repeat them, dry matter as a trade
ministry's summary of requirements for the Netherlands gives it. Class II's 6 cm²: from memory, confirm.

A mark counts only if it is not progressive, and none may reach the flesh.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load

SPEC = standards()["avocado-unece-ffv42"]
STILL = frozenset[str]()


def class_of(*defects: Defect) -> str | None:
    return grade(SPEC, Fruit(2300, defects=defects), load=load("Hass", dry_matter="24 %")).class_id


@pytest.mark.parametrize(
    ("marks", "class_id"),
    [
        ((Defect("corkiness", 400, states=STILL),), "I"),
        ((Defect("corkiness", 410, states=STILL),), "II"),  # if the 6 cm² from memory hold
        ((Defect("corkiness", 250, states=STILL), Defect("sunburn", 160, states=STILL)), "II"),  # total 4.1
        ((Defect("sunburn", 100, states=frozenset({"progressive"})),), None),
        ((Defect("rub", 50, states=frozenset({"into-flesh"})),), None),
        ((Defect("spreading-mark"),), None),
        ((Defect("mark-into-flesh"),), None),
    ],
)
def test_marks_by_area_and_state(marks: tuple[Defect, ...], class_id: str | None) -> None:
    assert class_of(*marks) == class_id


def test_a_mark_whose_state_nobody_looked_at_leaves_the_state_not_judged() -> None:
    verdict = grade(SPEC, Fruit(2300, defects=(Defect("corkiness", 100),)), load=load("Hass", dry_matter="24 %"))
    assert verdict.class_id == "I"
    assert {each.limit_id for each in verdict.not_judged} == {"skin-marks-spreading", "skin-marks-into-flesh"}


@pytest.mark.parametrize(
    ("variety", "dry_matter", "passes"),
    [
        ("Hass", "21.0 %", True),
        ("Hass", "20.9 %", False),
        ("Fuerte", "20.0 %", True),
        ("Fuerte", "19.9 %", False),
        ("Torres", "19.5 %", True),  # not named, so 19 % as for any other; Codex names it at 20
        ("Shepard", "19.0 %", True),
        ("Shepard", "18.9 %", False),
        ("Antillean", "15 %", True),  # may be lower
    ],
)
def test_dry_matter_by_variety(variety: str, dry_matter: str, passes: bool) -> None:
    verdict = grade(SPEC, Fruit(2300), load=load(variety, dry_matter=dry_matter))
    assert (verdict.class_id is not None) is passes


def test_each_figure_carries_its_mark() -> None:
    marks = {row.classes: row.source.mark for row in SPEC.limit("skin-marks").rows}
    assert marks == {("Extra",): Mark.OUR_READING, ("I",): Mark.SECOND_HAND, ("II",): Mark.FROM_MEMORY}
    assert {row.source.mark for row in SPEC.limit("dry-matter").rows} == {Mark.SECOND_HAND}
