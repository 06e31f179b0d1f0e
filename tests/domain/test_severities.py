"""Rating scales of faults, and limits on their steps."""

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.one import grade
from tests.support.quell import limit, quell

SPEC = quell(
    """
[[severity]]
id = "pests"
name = "pest marks"
of = ["scar", "scald"]
take = "sum"
by = "area"
steps = [
  { name = "slight", to = "< 1 cm2" },
  { name = "moderate", to = ">= 1 cm2 and <= 3 cm2" },
  { name = "severe", to = ">= 3 cm2 and <= 12 cm2" },
  { name = "very severe", to = "> 12 cm2" },
]
"""
    + limit(
        'of = "pests"\ntake = "severity"\nrows = [{ class = "I", to = "nil" }, { class = "II", to = "<= 2" }]',
        "pest marks step",
    )
)


@pytest.mark.parametrize(
    ("area_mm2", "step"),
    [(0, (0, "")), (90, (1, "slight")), (100, (2, "moderate")), (300, (2, "moderate")), (1200, (3, "severe")),
     (1210, (4, "very severe"))],
)  # fmt: skip
def test_a_figure_in_two_steps_is_the_milder_one(area_mm2: int, step: tuple[int, str]) -> None:
    """The skin marks of a Vietnamese mango guide: under 1, 1 to 3, 3 to 12, over 12 cm². It says 3 and 12 twice; we
    take the milder step."""
    verdict = grade(SPEC, Fruit(1000, defects=(Defect("scar", area_mm2),)))
    assert verdict.severities == (("pests", *step),)


def test_a_limit_on_steps_says_them_by_name() -> None:
    assert grade(SPEC, Fruit(1000, defects=(Defect("scar", 400),))).says(SPEC) == (
        "No class because pest marks is severe, at most moderate is allowed"
    )
    assert grade(SPEC, Fruit(1000, defects=(Defect("scar", 50),))).says(SPEC) == (
        "Class II because pest marks is slight, none is allowed"
    )


def test_a_kind_not_looked_for_leaves_the_step_open() -> None:
    verdict = grade(SPEC, Fruit(1000, defects=(Defect("scar", 400),), looked_for=frozenset({"scar"})))
    assert verdict.severities == (("pests", None, ""),)
    assert verdict.severity_words(SPEC) == ("pest marks: not known",)
    assert verdict.says(SPEC) == "No class because pest marks is severe or worse, at most moderate is allowed"


def test_a_mark_without_a_figure_is_at_least_the_mildest_step() -> None:
    verdict = grade(SPEC, Fruit(1000, defects=(Defect("scar"),)))
    assert (verdict.class_id, verdict.not_judged[0].missing) == ("II", ("scar",))
