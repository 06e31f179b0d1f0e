"""Codex CXS 299-2010, Standard for apples, minimum size, as quoted by a gauge seller; mark: second-hand.

60 mm; smaller down to 50 mm where Brix is at least 10.5. Miniature varieties are exempt and need 12 Brix: UNECE/EU
apple text, end of sizing, a fragment; mark: read.
"""

import pytest

from shedgrade.domain.grading.holding import Answer, hold
from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures

SPEC = standards()["apple-unece-ffv50"]


def size_of(diameter: str, brix: str | None, variety: str = "Gala") -> Answer:
    tested = load(variety) if brix is None else load(variety, brix=brix)
    fruit = Fruit(1000, measures=measures(SPEC.crop, diameter=diameter))
    return hold(SPEC, SPEC.limit("least-size"), fruit, "I", load=tested).answer


@pytest.mark.parametrize(
    ("diameter", "brix", "answer"),
    [
        ("60 mm", "9 Brix", Answer.HOLDS),
        ("60 mm", None, Answer.HOLDS),  # any Brix
        ("58 mm", "10.5 Brix", Answer.HOLDS),
        ("58 mm", "10.4 Brix", Answer.BROKEN),
        ("58 mm", None, Answer.NOT_JUDGED),
        ("50 mm", "10.5 Brix", Answer.HOLDS),
        ("49 mm", "14 Brix", Answer.BROKEN),
    ],
)
def test_a_smaller_apple_needs_more_sugar(diameter: str, brix: str | None, answer: Answer) -> None:
    assert size_of(diameter, brix) is answer


def test_miniature_varieties_are_exempt_and_need_12_brix() -> None:
    small = Fruit(600, measures=measures(SPEC.crop, diameter="40 mm"))
    assert grade(SPEC, small, load=load("miniature", brix="12 Brix")).class_id == "Extra"
    assert grade(SPEC, small, load=load("miniature", brix="11.9 Brix")).class_id is None


@pytest.mark.parametrize(
    ("variety", "red", "class_id"),
    [
        ("Spartan", "75 %", "Extra"),
        ("Spartan", "50 %", "I"),
        ("Spartan", "25 %", "II"),
        ("Spartan", "24 %", None),
        ("Jonathan", "33 %", "II"),  # at least a third for Class I
        ("Jonathan", "34 %", "I"),
        ("Gala", "10 %", "I"),
        ("Gala", "0 %", "II"),
        ("Granny Smith", "0 %", "Extra"),
    ],
)
def test_colour_groups_from_memory(variety: str, red: str, class_id: str | None) -> None:
    """UNECE colour groups A 3/4, 1/2, 1/4; B 1/2, 1/3, 1/10; C 1/3, 1/10, none; D none: from memory, confirm."""
    fruit = Fruit(1500, measures=measures(SPEC.crop, diameter="70 mm", good_colour=red))
    assert grade(SPEC, fruit, load=load(variety)).class_id == class_id
    assert {row.source.mark for row in SPEC.limit("red-colour").rows} == {Mark.FROM_MEMORY}
