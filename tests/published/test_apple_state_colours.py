"""Washington State, WAC 16-403, and California, 3 CCR 1400.19, colour tables of apples; mark: read.

Washington takes a good shade of red, or more of a lighter shade instead, which is counted together with the good.
"""

import pytest

from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures

WASHINGTON = standards()["apple-washington"]
CALIFORNIA = standards()["apple-california"]


@pytest.mark.parametrize(
    ("variety", "good", "lighter", "class_id"),
    [
        ("Jonathan", "50 %", "0 %", "Extra-Fancy"),
        ("Jonathan", "45 %", "0 %", "Fancy"),
        ("Jonathan", "0 %", "66 %", "Extra-Fancy"),
        ("Jonathan", "0 %", "65 %", "Fancy"),
        ("Jonathan", "33 %", "0 %", "Fancy"),
        ("Jonathan", "32 %", "0 %", None),
        ("Jonathan", "0 %", "39 %", None),
        ("Red Delicious", "66 %", "0 %", "Extra-Fancy"),
        ("Red Delicious", "65 %", "0 %", "Fancy"),
        ("Red Delicious", "40 %", "0 %", "Fancy"),
        ("Red Delicious", "39 %", "0 %", None),
        ("Beacon", "33.34 %", "0 %", "Extra-Fancy"),  # a third and no less
        ("Beacon", "33.33 %", "0 %", "Fancy"),
        ("Beacon", "14 %", "0 %", None),
    ],
)
def test_washington(variety: str, good: str, lighter: str, class_id: str | None) -> None:
    fruit = Fruit(1500, measures=measures(WASHINGTON.crop, good_colour=good, lighter_colour=lighter))
    assert grade(WASHINGTON, fruit, load=load(variety)).class_id == class_id


def test_enough_good_shade_needs_no_look_at_the_lighter() -> None:
    fruit = Fruit(1500, measures=measures(WASHINGTON.crop, good_colour="50 %"))
    assert grade(WASHINGTON, fruit, load=load("Jonathan")).not_judged == ()


@pytest.mark.parametrize(
    ("variety", "good", "class_id"),
    [
        ("Winesap", "40 %", "Extra-Fancy"),
        ("Winesap", "25 %", "Fancy"),
        ("Winesap", "24 %", None),
        ("McIntosh", "33 %", "Extra-Fancy"),
        ("Rome", "15 %", "Fancy"),
        ("Delicious", "25 %", "Extra-Fancy"),
        ("Delicious", "14 %", None),
    ],
)
def test_california(variety: str, good: str, class_id: str | None) -> None:
    fruit = Fruit(1500, measures=measures(CALIFORNIA.crop, good_colour=good))
    assert grade(CALIFORNIA, fruit, load=load(variety)).class_id == class_id


def test_both_tables_are_marked_read() -> None:
    for spec in (WASHINGTON, CALIFORNIA):
        colour = spec.limit("red-colour")
        assert {row.source.mark for way in colour.ways for row in way.rows} == {Mark.READ}
