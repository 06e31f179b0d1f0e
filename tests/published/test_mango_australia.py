"""Australian mango industry, class 1 quality standards, 2016, one page; mark: read.

The page says cm for an area: read as cm², added up on a fruit. Severe skin blemish is over 10 % of the skin.
"""

import pytest

from shedgrade.domain.grading.holding import Answer, hold
from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.spec.library import standards
from tests.support.taken import load

SPEC = standards()["mango-au-class1-2016"]


def answer(limit_id: str, *defects: Defect, stage: int | None = None, variety: str | None = None) -> Answer:
    """What one limit says of a fruit of 400 g with these marks."""
    return hold(SPEC, SPEC.limit(limit_id), Fruit(4000, stage, defects), "1", load=load(variety)).answer


@pytest.mark.parametrize(("share_bp", "expected"), [(1000, Answer.HOLDS), (1010, Answer.BROKEN)])
def test_a_severe_blemish_is_over_10_percent_of_the_skin(share_bp: int, expected: Answer) -> None:
    assert answer("severe-blemish", Defect("blotch", share_bp=share_bp)) is expected


@pytest.mark.parametrize(("spots", "expected"), [(5, Answer.HOLDS), (6, Answer.BROKEN)])
def test_pink_spot_fewer_than_6(spots: int, expected: Answer) -> None:
    assert answer("pink-spot", Defect("pink-spot", places=spots)) is expected


@pytest.mark.parametrize(("second_mm2", "expected"), [(150, Answer.HOLDS), (160, Answer.BROKEN)])
def test_sapburn_adds_up_to_4_cm2(second_mm2: int, expected: Answer) -> None:
    assert answer("sapburn", Defect("sap-stain", 250), Defect("sap-stain", second_mm2)) is expected


@pytest.mark.parametrize(
    ("variety", "dry_matter", "brix", "class_id"),
    [
        ("Kensington Pride", "15.0 %", "14.0 Brix", "1"),
        ("Kensington Pride", "14.9 %", "14.0 Brix", None),
        ("Kensington Pride", "15.0 %", "13.9 Brix", None),  # both are asked
        ("R2E2", "13.0 %", "12.0 Brix", "1"),
        ("R2E2", "13.0 %", "11.9 Brix", None),
    ],
)
def test_maturity_by_variety(variety: str, dry_matter: str, brix: str, class_id: str | None) -> None:
    assert grade(SPEC, Fruit(4000, 4), load=load(variety, dry_matter=dry_matter, brix=brix)).class_id == class_id


@pytest.mark.parametrize(
    ("variety", "stage", "expected"),
    [
        ("Kensington Pride", 3, Answer.HOLDS),
        ("Kensington Pride", 2, Answer.BROKEN),
        ("R2E2", 3, Answer.BROKEN),
        ("R2E2", 4, Answer.HOLDS),
    ],
)
def test_colour_stage_by_variety(variety: str, stage: int, expected: Answer) -> None:
    assert answer("colour", stage=stage, variety=variety) is expected


def test_sunburn_is_light_up_to_a_quarter_of_the_skin_and_major_when_dark() -> None:
    light = Defect("sunburn", share_bp=2500, states=frozenset())
    dark = Defect("sunburn", share_bp=100, states=frozenset({"dark"}))
    unseen = Defect("sunburn", share_bp=100)
    assert answer("light-sunburn", light) is Answer.HOLDS
    assert answer("light-sunburn", Defect("sunburn", share_bp=2510)) is Answer.BROKEN
    assert [answer("dark-sunburn", each) for each in (light, dark, unseen)] == [
        Answer.HOLDS,
        Answer.BROKEN,
        Answer.NOT_JUDGED,
    ]
