"""Spanish export minima for citrus, Levante Agricola 451, 2020, abstract; mark: read.

Orange: navel 52 mm, others 58; clementine 43; Satsuma and hybrids 50.
"""

import pytest

from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards
from tests.support.taken import load, measures


@pytest.mark.parametrize(
    ("crop", "variety", "least_mm"),
    [
        ("orange", "Navel", 52),
        ("orange", "Valencia", 58),
        ("clementine", "Clementine", 43),
        ("mandarin", "Satsuma", 50),
    ],
)
def test_the_least_diameter_itself_is_large_enough(crop: str, variety: str, least_mm: int) -> None:
    spec = standards()[f"{crop}-spain-export"]
    for diameter, class_id in ((f"{least_mm} mm", "minimum"), (f"{least_mm - 1}.9 mm", None)):
        fruit = Fruit(1000, measures=measures(spec.crop, diameter=diameter))
        assert grade(spec, fruit, load=load(variety)).class_id == class_id
    assert {row.source.mark for row in spec.limit("least-diameter").rows} == {Mark.READ}
