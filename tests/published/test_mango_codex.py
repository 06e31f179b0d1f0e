"""Codex CXS 184-1993, Standard for mangoes: area limits (2.2), size bands (section 3), the 40 % of lenticels and
sun yellowing (2.2): from memory, confirm against the text. Minimum requirements (2.1): read.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards

SPEC = standards()["mango-codex-cxs184"]


@pytest.mark.parametrize(
    ("weight_dg", "area_mm2", "code", "class_id"),
    [
        (4200, 350, "B", "I"),
        (4200, 400, "B", "I"),
        (4200, 410, "B", "II"),
        (4200, 600, "B", "II"),
        (4200, 610, "B", None),
        (3500, 350, "A", "II"),  # one gram changes the class: 3.5 is over 3, not over 4
        (3510, 350, "B", "I"),
    ],
)
def test_stain_by_size_from_memory(weight_dg: int, area_mm2: int, code: str, class_id: str | None) -> None:
    verdict = grade(SPEC, Fruit(weight_dg, defects=(Defect("sap-stain", area_mm2),)))
    assert verdict.codes == (code,)
    assert verdict.class_id == class_id


@pytest.mark.parametrize(
    ("weight_dg", "codes"),
    [
        (1990, ()),
        (2000, ("A",)),
        (3504, ("A",)),
        (3505, ("B",)),  # the gap between 350 and 351 g; our reading: round half up to the gram
        (8000, ("C",)),
        (8010, ()),
    ],
)
def test_size_codes_from_memory(weight_dg: int, codes: tuple[str, ...]) -> None:
    assert SPEC.scale.codes(weight_dg) == codes


def test_a_mango_without_a_size_makes_no_class_and_the_reason_names_weight_and_ends() -> None:
    verdict = grade(SPEC, Fruit(1990))
    assert verdict.class_id is None
    said = verdict.says(SPEC).replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert said == "No class because 199 g is in no size: sizes run from 200 g to 800 g"


@pytest.mark.parametrize(("share_bp", "class_id"), [(4000, "I"), (4100, None)])
def test_sun_yellowing_up_to_40_percent_from_memory(share_bp: int, class_id: str | None) -> None:
    verdict = grade(SPEC, Fruit(4200, defects=(Defect("sun-yellowing", share_bp=share_bp),)))
    assert verdict.class_id == class_id


@pytest.mark.parametrize(
    "kind", ["rot", "unhealed-wound", "marked-bruise", "cold-damage", "black-stain", "pest-damage"]
)
def test_the_minimum_requirements_hold_in_all_classes(kind: str) -> None:
    """Section 2.1, read: sound, whole, free of marked bruising, cold damage and black necrotic stains."""
    assert grade(SPEC, Fruit(4200, defects=(Defect(kind),))).class_id is None


@pytest.mark.parametrize(
    ("marks", "class_id"),
    [
        ((Defect("stalk", length_dmm=100),), "Extra"),
        ((Defect("stalk", length_dmm=110),), None),
        ((), "Extra"),
    ],
)
def test_a_stalk_of_at_most_1_cm_if_there_is_one(marks: tuple[Defect, ...], class_id: str | None) -> None:
    """Section 2.1, read; ASEAN Stan 2:2006, Rev.1-2012, section 2.1, says the same (read)."""
    assert grade(SPEC, Fruit(4200, defects=marks)).class_id == class_id
    assert SPEC.limit("stalk").source.mark is Mark.READ


def test_what_is_from_memory_says_so() -> None:
    rows = [row for row in SPEC.limit("skin-marks").rows if row.classes != ("Extra",)]
    assert {row.source.mark for row in rows} == {Mark.FROM_MEMORY}
    assert {band.source.mark for band in SPEC.scale.bands} == {Mark.FROM_MEMORY}
    assert SPEC.limit("lenticels-and-yellowing").source.mark is Mark.FROM_MEMORY
    for limit_id in ("spread", "spread-with-tolerance", "size-window"):
        assert {row.source.mark for row in SPEC.limit(limit_id).rows} == {Mark.FROM_MEMORY}
    totals = {tolerance.part.source.mark for tolerance in SPEC.tolerances}
    assert totals == {Mark.FROM_MEMORY}
