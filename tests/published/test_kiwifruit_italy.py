"""Italian interprofessional rule for kiwifruit, 2019, maturity, as a news report gives it; mark: second-hand.

6.5 Brix to pack; retail and dispatch within the EU at least 10 Brix and 2 to 3.5 kg/cm²; overseas 6.5 Brix and 3 to 6.
"""

from dataclasses import replace

import pytest

from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.spec.library import standards
from tests.support.taken import load

SPEC = standards()["kiwifruit-italy-2019"]


@pytest.mark.parametrize(
    ("stage", "destination", "brix", "firmness", "class_id"),
    [
        ("packing", "european union", "6.5 Brix", "8", "minimum"),
        ("packing", "european union", "6.4 Brix", "8", None),
        ("retail", "european union", "10 Brix", "2", "minimum"),
        ("retail", "european union", "9.9 Brix", "2", None),
        ("dispatch", "european union", "10 Brix", "3.5", "minimum"),
        ("dispatch", "european union", "10 Brix", "3.6", None),
        ("dispatch", "overseas", "6.5 Brix", "6", "minimum"),
        ("dispatch", "overseas", "6.5 Brix", "2.9", None),
    ],
)
def test_ripeness_depends_on_the_stage_and_where_it_goes(
    stage: str, destination: str, brix: str, firmness: str, class_id: str | None
) -> None:
    tested = replace(load("Hayward", stage=stage, brix=brix, firmness=firmness), destination=destination)
    assert grade(SPEC, Fruit(1000), load=tested).class_id == class_id


def test_at_dispatch_the_destination_must_be_known() -> None:
    verdict = grade(SPEC, Fruit(1000), load=load("Hayward", stage="dispatch", brix="11 Brix", firmness="3"))
    assert {each.limit_id for each in verdict.not_judged} == {"brix", "firmness"}
