"""Size tables by a measure of the fruit, by how many fruit make a mass, and by variety."""

import pytest

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.one import GradingError, borne_out, grade, size_codes
from tests.support.quell import limit, plain, quell

BY_WIDTH = """
[scale]
of = "width"
rounding = "half up to the millimetre"
bands = [{ name = "small", to = ">= 35 mm and <= 42 mm" }, { name = "large", to = ">= 37 mm and <= 44 mm" }]
"""
SIZED = limit('of = "size code"\ntake = "codes"\nto = ">= 1"', "size")
LARGE_ONLY = limit('of = "weight"\ntake = "value"\nrows = [{ class = "I", size = "small", to = ">= 90 g" }]', "weight")
SPEC = quell(SIZED + LARGE_ONLY, BY_WIDTH)


def wide(width_dmm: int, weight_dg: int = 1000) -> Fruit:
    return Fruit(weight_dg, measures=(("width", width_dmm),))


def test_bands_by_width_overlap_and_are_looked_up_rounded() -> None:
    assert size_codes(SPEC, wide(420)) == ("small", "large")
    assert size_codes(SPEC, wide(424)) == ("small", "large")
    assert size_codes(SPEC, wide(425)) == ("large",)
    assert size_codes(SPEC, wide(345)) == ("small",)


def test_the_class_of_each_code_stands_beside_the_best() -> None:
    verdict = grade(SPEC, wide(400, weight_dg=800))
    assert (verdict.class_id, verdict.judged_as) == ("I", "large")
    assert verdict.by_code == (("small", "II"), ("large", "I"))
    assert grade(SPEC, wide(400, weight_dg=800), code="small").class_id == "II"


def test_a_fruit_in_no_size_says_its_width() -> None:
    assert plain(grade(SPEC, wide(340)).says(SPEC)) == (
        "No class because width 34 mm is in no size: sizes run from 35 mm to 44 mm"
    )


def test_a_size_that_was_not_taken_leaves_its_limits_not_judged() -> None:
    verdict = grade(SPEC, Fruit(800))
    assert (verdict.class_id, verdict.codes, verdict.by_code) == ("I", (), ())
    assert [(each.limit_id, each.missing) for each in verdict.not_judged] == [
        ("size", ("width",)),
        ("weight", ("width",)),
    ]


def test_the_code_on_the_pack_is_believed_only_while_the_size_is_not_known() -> None:
    assert grade(SPEC, Fruit(800), code="small").class_id == "II"
    assert borne_out(SPEC, Fruit(800), "small") == "small"
    assert borne_out(SPEC, Fruit(800), "huge") is None
    assert borne_out(SPEC, wide(430), "small") is None
    with pytest.raises(GradingError, match="a fruit of 43\u202fmm width is size large, not size small"):
        grade(SPEC, wide(430), code="small")


def test_how_many_fruit_make_a_mass() -> None:
    """Worked by hand: 3000 g over 250 g is 12 fruit, over 187.5 g it is 16, over 190 g it is 15.8."""
    scale = """
[scale]
of = "weight"
rounding = "none"
count_in = "3000 g"
bands = [{ name = "12s", to = ">= 10 and <= 14" }, { name = "16s", to = "> 14 and <= 16" }]
"""
    spec = quell(SIZED, scale)
    found = [size_codes(spec, Fruit(weight)) for weight in (2500, 1875, 1900, 1874)]
    assert found == [("12s",), ("16s",), ("16s",), ()]
    assert plain(grade(spec, Fruit(1000)).says(spec)) == (
        "No class because 100 g, 30 in 3 kg, is in no size: sizes run from 10 to 16"
    )


class TestByVariety:
    SPEC = quell(
        SIZED,
        """
[scale]
of = "weight"
rounding = "none"
bands = [{ name = "S", variety = "Early Quell", to = ">= 80 g and < 120 g" }, { name = "M", to = ">= 120 g" }]
""",
    )

    @pytest.mark.parametrize(("variety", "class_id"), [("Early Quell", "I"), ("Long Quell", None), (None, "I")])
    def test_a_band_of_one_variety(self, variety: str | None, class_id: str | None) -> None:
        verdict = grade(self.SPEC, Fruit(1000), load=Load(variety=variety))
        assert verdict.class_id == class_id
        assert [each.missing for each in verdict.not_judged] == ([("variety",)] if variety is None else [])

    def test_a_code_that_every_variety_has_needs_no_variety(self) -> None:
        verdict = grade(self.SPEC, Fruit(1200))
        assert (verdict.codes, verdict.not_judged) == (("M",), ())
