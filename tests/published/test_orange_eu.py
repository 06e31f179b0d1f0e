"""Reg. (EC) 1580/2007, Annex I, Part 2, Citrus fruit, text of 2010: juice and colouring of oranges; mark: read.

Light green on at most a fifth of the surface. Fruit from hot and humid areas may be greener if it has 45 % of juice,
33 % for Mosambi, Sathgudi and Pacitan. The size scale is from memory, confirm against the text.
"""

import pytest

from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures

SPEC = standards()["orange-eu"]


def makes_it(variety: str, green: str, juice: str, grown_in: str = "hot and humid") -> bool:
    fruit = Fruit(2000, measures=measures(SPEC.crop, diameter="75 mm", green_share=green))
    verdict = grade(SPEC, fruit, load=load(variety, grown_in=grown_in, juice=juice))
    assert verdict.not_judged == ()
    return verdict.class_id is not None


@pytest.mark.parametrize(
    ("variety", "green", "juice", "passes"),
    [
        ("Valencia", "20 %", "35 %", True),
        ("Valencia", "20 %", "34 %", False),
        ("Valencia", "25 %", "44 %", False),  # greener than a fifth: 45 % is asked
        ("Valencia", "25 %", "45 %", True),
        ("Mosambi", "25 %", "33 %", True),
        ("Mosambi", "25 %", "32 %", False),
        ("Blood", "20 %", "30 %", True),
        ("Blood", "20 %", "29 %", False),
        ("Navel", "20 %", "33 %", True),
        ("Navel", "20 %", "32 %", False),
    ],
)
def test_the_juice_asked_rises_where_the_fruit_is_greener(variety: str, green: str, juice: str, passes: bool) -> None:
    assert makes_it(variety, green, juice) is passes


def test_elsewhere_a_greener_fruit_is_out_whatever_its_juice() -> None:
    assert not makes_it("Valencia", "25 %", "50 %", grown_in="Mediterranean")
    assert makes_it("Valencia", "20 %", "50 %", grown_in="Mediterranean")


def test_nobody_said_where_it_was_grown() -> None:
    fruit = Fruit(2000, measures=measures(SPEC.crop, diameter="75 mm", green_share="25 %"))
    verdict = grade(SPEC, fruit, load=load("Valencia", juice="50 %"))
    assert {each.limit_id for each in verdict.not_judged} == {"green", "juice"}


def test_the_least_diameter_second_hand() -> None:
    """EU, 53 mm, as repeated by a trade page."""
    small = Fruit(2000, measures=measures(SPEC.crop, diameter="52.9 mm", green_share="0 %"))
    verdict = grade(SPEC, small, load=load("Valencia", juice="50 %"))
    assert [reason.limit_id for reason in verdict.reasons] == ["least-diameter"]


def test_the_size_scale_is_marked_from_memory_and_the_juice_read() -> None:
    assert {band.source.mark for band in SPEC.scale.bands} == {Mark.FROM_MEMORY}
    assert {row.source.mark for row in SPEC.limit("juice").rows} == {Mark.READ}
