"""OECD brochure Avocados, classification, as repeated by a trade page; mark: second-hand.

Class I: total of corkiness, healed lenticels and sunburn at most 4 cm², only if not progressive, never into the
flesh. Class II's 6 cm² is from memory: confirm against the text.
"""

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards

SPEC = standards()["avocado-trade-4kg"]


def class_of(*defects: Defect) -> str | None:
    return grade(SPEC, Fruit(2300, defects=defects)).class_id


def test_corkiness_of_4_cm2_is_class_i_and_not_extra() -> None:
    assert class_of(Defect("corkiness", 400)) == "I"


def test_corkiness_of_4_1_cm2_is_class_ii_if_the_6_cm2_from_memory_hold() -> None:
    assert class_of(Defect("corkiness", 410)) == "II"


def test_corkiness_and_sunburn_count_together_because_the_text_says_total() -> None:
    assert class_of(Defect("corkiness", 250), Defect("sunburn", 150)) == "I"
    assert class_of(Defect("corkiness", 250), Defect("sunburn", 160)) == "II"


def test_a_progressive_mark_is_not_class_i_however_small() -> None:
    assert class_of(Defect("sunburn", 100), Defect("spreading-mark")) not in ("Extra", "I")


def test_a_rub_into_the_flesh_is_not_class_i_however_small() -> None:
    assert class_of(Defect("rub", 50), Defect("mark-into-flesh")) not in ("Extra", "I")


@pytest.mark.parametrize(
    ("class_id", "mark"),
    [("Extra", Mark.OUR_READING), ("I", Mark.SECOND_HAND), ("II", Mark.FROM_MEMORY)],
)
def test_each_area_limit_carries_its_mark(class_id: str, mark: Mark) -> None:
    row = SPEC.limit("skin-marks").row_for(class_id, "18")
    assert row is not None
    assert row.source.mark is mark


@pytest.mark.parametrize(
    ("marks", "class_id"),
    [
        ((Defect("stalk", length_dmm=100),), "Extra"),
        ((Defect("stalk", length_dmm=110),), None),
        ((Defect("torn-stalk-scar"),), None),
    ],
)
def test_stalk_at_most_10_mm_second_hand(marks: tuple[Defect, ...], class_id: str | None) -> None:
    """Requirements for avocado to the Netherlands (UNECE text), summary. The scar is inferred from Codex CXS 197."""
    assert class_of(*marks) == class_id
    assert SPEC.limit("stalk").source.mark is Mark.SECOND_HAND
    assert SPEC.limit("stalk-scar").source.mark is Mark.INFERRED
