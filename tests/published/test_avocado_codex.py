"""Codex CXS 197-1995, Standard for avocado, revised 2013, amended 2015, section 2.1; mark: read.

A stalk of at most 10 mm, cut cleanly; its absence is no fault if the scar is dry and whole. Dry matter 21 % for Hass,
20 % for Torres, Fuerte, Pinkerton, Edranol and Reed; 19 % for others is from memory, confirm against the text.
"""

import pytest

from shedgrade.domain.grading.holding import Answer, hold
from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load

SPEC = standards()["avocado-codex-cxs197"]


@pytest.mark.parametrize(
    ("marks", "class_id"),
    [
        ((Defect("stalk", length_dmm=100),), "minimum"),
        ((Defect("stalk", length_dmm=110),), None),
        ((), "minimum"),  # absent, the scar dry and whole
        ((Defect("torn-stalk-scar"),), None),
    ],
)
def test_stalk(marks: tuple[Defect, ...], class_id: str | None) -> None:
    assert grade(SPEC, Fruit(2300, defects=marks)).class_id == class_id


def test_a_stalk_without_its_length_is_not_judged() -> None:
    held = hold(SPEC, SPEC.limit("stalk"), Fruit(2300, defects=(Defect("stalk"),)), "minimum")
    assert held.answer is Answer.NOT_JUDGED


@pytest.mark.parametrize(
    ("variety", "dry_matter", "class_id"),
    [
        ("Hass", "21.0 %", "minimum"),
        ("Hass", "20.9 %", None),
        ("Fuerte", "20.0 %", "minimum"),
        ("Fuerte", "19.9 %", None),
        ("Torres", "19.5 %", None),  # the UNECE text does not name Torres
        ("Shepard", "19.0 %", "minimum"),
        ("Shepard", "18.9 %", None),
    ],
)
def test_dry_matter_by_variety(variety: str, dry_matter: str, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(2300), load=load(variety, dry_matter=dry_matter)).class_id == class_id


@pytest.mark.parametrize(
    ("variety", "weight_g", "class_id"), [("Hass", 80, "minimum"), ("Hass", 79, None), ("Reed", 122, None)]
)
def test_least_weight_from_memory(variety: str, weight_g: int, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(weight_g * 10), load=load(variety)).class_id == class_id
    assert {row.source.mark for row in SPEC.limit("least-weight").rows} == {Mark.FROM_MEMORY}


def test_the_figures_named_are_marked_read_and_the_rest_from_memory() -> None:
    assert [row.source.mark for row in SPEC.limit("dry-matter").rows] == [Mark.READ, Mark.READ, Mark.FROM_MEMORY]
