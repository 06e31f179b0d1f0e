"""Clementine scale after Reg. (EEC) 920/89, as repeated by a trade page; mark: second-hand. Minimum diameter 35 mm: EU,
as repeated by a trade page; juice, sugar to acid and colour: Reg. (EU) 543/2011, summary; mark: second-hand.
"""

import pytest

from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures

SPEC = standards()["clementine-eu"]


@pytest.mark.parametrize(
    ("diameter", "codes"),
    [
        ("42 mm", ("7", "8", "9", "10")),  # 41-48, 39-46, 37-44, 35-42
        ("57 mm", ("3", "4")),
        ("35 mm", ("10",)),
        ("34 mm", ()),
        ("70 mm", ("1",)),
    ],
)
def test_a_diameter_has_none_one_or_several_codes(diameter: str, codes: tuple[str, ...]) -> None:
    assert grade(SPEC, Fruit(800, measures=measures(SPEC.crop, diameter=diameter))).codes == codes


def test_under_the_least_diameter_no_class_is_made() -> None:
    small = grade(SPEC, Fruit(800, measures=measures(SPEC.crop, diameter="34 mm", colour_share="100 %")))
    assert small.class_id is None
    assert [reason.limit_id for reason in small.reasons] == ["least-diameter"]


@pytest.mark.parametrize(
    ("juice", "sugar_acid", "colour", "class_id"),
    [
        ("40 %", "7", "34 %", "minimum"),
        ("39.9 %", "7", "34 %", None),
        ("40 %", "6.9", "34 %", None),
        ("40 %", "7", "33 %", None),  # at least a third
    ],
)
def test_maturity_and_colour(juice: str, sugar_acid: str, colour: str, class_id: str | None) -> None:
    fruit = Fruit(800, measures=measures(SPEC.crop, diameter="50 mm", colour_share=colour))
    tested = load("Clementine", juice=juice, sugar_acid=sugar_acid)
    assert grade(SPEC, fruit, load=tested).class_id == class_id


def test_the_bands_are_marked_second_hand() -> None:
    assert {band.source.mark for band in SPEC.scale.bands} == {Mark.SECOND_HAND}
