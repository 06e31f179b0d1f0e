"""One fruit under one spec: class, code, reasons, what was not judged, where it goes."""

from fractions import Fraction

import pytest

from shedgrade.domain.grading.one import Defect, Fruit, GradingError, NotJudged, blemish_surface_mm2, grade
from shedgrade.domain.spec.library import crops, standards
from shedgrade.domain.spec.text import read_spec
from shedgrade.domain.trays.counts import CountResult, Misfit, TrayType
from tests.support.specs import MARKET

CODEX = standards()["mango-codex-cxs184"]
AVOCADO = standards()["avocado-trade-4kg"]
KESTROW = read_spec(MARKET, crops())
SEVEN_KG = TrayType("7-kg", "7 kg tray", 7000, (9, 10, 12, 14, 16, 18, 20, 22, 25), heaviest_dg=7900)


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


class TestReasons:
    def test_every_class_missed_has_its_limit_its_figure_and_what_is_allowed(self) -> None:
        verdict = grade(CODEX, Fruit(4200, defects=(Defect("sap-stain", 460),)))
        assert [(reason.class_id, reason.limit_id, reason.value) for reason in verdict.reasons] == [
            ("Extra", "skin-marks", Fraction(460)),
            ("I", "skin-marks", Fraction(460)),
        ]
        assert verdict.reasons[1].allowed.text() == "<= 4 cm2"
        assert verdict.reasons[1].size_code == "B"
        assert plain(verdict.says(CODEX)) == "Class II because sap stain 4.6 cm² is over 4 cm² for size B"
        assert plain(verdict.reasons[1].says(CODEX)) == (
            "Not Class I because sap stain 4.6 cm² is over 4 cm² for size B"
        )

    def test_only_the_kinds_that_are_there_are_named(self) -> None:
        verdict = grade(
            CODEX, Fruit(4200, defects=(Defect("rub", 200), Defect("sunburn", 0), Defect("sap-stain", 210)))
        )
        assert verdict.reasons[1].kinds == ("sap-stain", "rub")
        assert plain(verdict.says(CODEX)) == (
            "Class II because sap stain and rub together 4.1 cm² is over 4 cm² for size B"
        )

    def test_a_reason_carries_the_mark_of_the_figure_it_rests_on(self) -> None:
        verdict = grade(AVOCADO, Fruit(2300, defects=(Defect("corkiness", 700),)))
        assert [reason.source.mark for reason in verdict.reasons] == ["our reading", "second-hand", "from memory"]

    def test_a_fault_that_is_only_there_or_not(self) -> None:
        verdict = grade(CODEX, Fruit(4200, defects=(Defect("rot"),)))
        assert verdict.says(CODEX) == "No class because it has rot"

    def test_the_best_class_has_no_reasons(self) -> None:
        verdict = grade(CODEX, Fruit(4200, defects=(Defect("very-slight-mark"),)))
        assert (verdict.class_id, verdict.reasons, verdict.says(CODEX)) == ("Extra", (), "Extra Class")

    @pytest.mark.parametrize(
        ("fruit", "said"),
        [
            (Fruit(4000, 2), "Class two because colour stage 2 is under 3"),
            (Fruit(4000, 6), "Class two because colour stage 6 is over 5"),
            (Fruit(2500, 4), "No class because the weight 250 g is not over 250 g"),
            (Fruit(9000, 4), "No class because the weight 900 g is not under 900 g"),
            (Fruit(9001, 4), "No class because the weight 900.1 g is over 900 g"),
            (
                Fruit(4000, 4, tuple(Defect(kind, 1) for kind in ("sap-stain", "rub", "sunburn"))),
                "No class because sap stain, rub and sunburn: 3 kinds of defect is over 2",
            ),
            (Fruit(4000, 4, (Defect("rub", share_bp=500),)), "No class because rub 5 % is not under 5 %"),
        ],
    )
    def test_market_specs_speak_of_colour_weight_and_kinds(self, fruit: Fruit, said: str) -> None:
        assert plain(grade(KESTROW, fruit).says(KESTROW)) == said

    def test_a_figure_that_is_said_like_its_limit_is_just_over_it(self) -> None:
        surface = blemish_surface_mm2(4000)
        verdict = grade(KESTROW, Fruit(4000, 4, (Defect("rub", surface // 100 + 1),)))
        assert plain(verdict.says(KESTROW)) == "Class two because rub 1 % is just over 1 %"


class TestSums:
    def test_the_same_kind_twice_adds_up(self) -> None:
        one = grade(CODEX, Fruit(4200, defects=(Defect("rub", 410),)))
        two = grade(CODEX, Fruit(4200, defects=(Defect("rub", 205), Defect("rub", 205))))
        assert one == two

    def test_an_area_is_turned_into_a_share_and_back_by_the_blemish_surface(self) -> None:
        surface = blemish_surface_mm2(4000)
        assert grade(KESTROW, Fruit(4000, 4, (Defect("rub", surface // 100),))).class_id == "one"
        assert grade(KESTROW, Fruit(4000, 4, (Defect("rub", surface // 100 + 1),))).class_id == "two"
        share = Fruit(4200, defects=(Defect("rub", share_bp=100),))
        assert grade(CODEX, share).reasons[0].value == Fraction(blemish_surface_mm2(4200), 100)

    def test_a_mark_measured_both_ways_counts_once_by_the_figure_asked_for(self) -> None:
        both = (Defect("rub", 410, 50),)
        assert grade(KESTROW, Fruit(4000, 4, both)).class_id == "one"
        assert grade(CODEX, Fruit(4200, defects=both)).reasons[1].value == 410

    def test_the_blemish_surface_is_one_and_a_half_times_a_sphere_of_that_weight(self) -> None:
        # 4/3 pi r³ = 300 cm³ gives r = 4.1528 cm and 4 pi r² = 216.72 cm², worked by hand.
        assert abs(blemish_surface_mm2(3000) - 32508) <= 1
        assert blemish_surface_mm2(1) > 0

    def test_a_figure_of_nothing_is_nothing(self) -> None:
        assert grade(CODEX, Fruit(4200, defects=(Defect("sap-stain", 0),))).class_id == "Extra"

    def test_areas_and_shares_out_of_this_world_are_refused(self) -> None:
        for make in (lambda: Defect("rub", -1), lambda: Defect("rub", share_bp=10001), lambda: Fruit(0)):
            with pytest.raises(ValueError, match="cannot be"):
                make()


class TestCodes:
    def test_without_a_named_code_the_best_class_decides(self) -> None:
        """An invented spec with overlapping sizes: 300 g is both, and 3.5 cm² is allowed in the larger only."""
        spec = read_spec(OVERLAPPING, crops())
        fruit = Fruit(3000, defects=(Defect("rub", 350),))
        assert grade(spec, fruit).codes == ("small", "large")
        assert (grade(spec, fruit).judged_as, grade(spec, fruit).class_id) == ("large", "only")
        assert grade(spec, fruit, code="small").class_id is None
        assert grade(spec, fruit, code="small").judged_as == "small"

    def test_among_equals_the_first_in_the_file_is_taken(self) -> None:
        spec = read_spec(OVERLAPPING, crops())
        assert grade(spec, Fruit(3000)).judged_as == "small"
        assert grade(AVOCADO, Fruit(1350)).codes == ("28", "30", "32")
        assert grade(AVOCADO, Fruit(1350)).judged_as == "28"

    @pytest.mark.parametrize(("weight_dg", "sizes"), [(3000, "size small or large"), (1000, "no size")])
    def test_a_code_the_fruit_does_not_have_is_refused(self, weight_dg: int, sizes: str) -> None:
        with pytest.raises(GradingError, match=f"{sizes}, not size huge"):
            grade(read_spec(OVERLAPPING, crops()), Fruit(weight_dg), code="huge")

    def test_a_spec_without_sizes_judges_without_a_code(self) -> None:
        verdict = grade(KESTROW, Fruit(4000, 4))
        assert (verdict.codes, verdict.judged_as, verdict.class_id) == ((), None, "one")

    def test_a_kind_of_another_crop_is_refused(self) -> None:
        with pytest.raises(GradingError, match='no defect kind "corkiness"'):
            grade(CODEX, Fruit(4200, defects=(Defect("corkiness", 100),)))


class TestNotJudged:
    def test_kinds_not_looked_for_are_listed_beside_the_class_and_do_not_pass(self) -> None:
        looked_for = frozenset(kind.id for kind in CODEX.crop.kinds) - {"rot", "sunburn"}
        verdict = grade(CODEX, Fruit(4200, looked_for=looked_for))
        assert verdict.class_id == "Extra"
        assert verdict.not_judged == (
            NotJudged("rot", "rot", ("rot",)),
            NotJudged("skin-marks", "skin marks", ("sunburn",)),
        )
        assert verdict.says(CODEX) == "Extra Class; not judged: rot, skin marks"

    def test_what_is_already_too_much_is_broken_whatever_was_not_looked_for(self) -> None:
        fruit = Fruit(4200, defects=(Defect("rub", 410),), looked_for=frozenset({"rub"}))
        verdict = grade(CODEX, fruit)
        assert verdict.class_id == "II"
        assert "skin-marks" in [limit.limit_id for limit in verdict.not_judged]
        assert plain(verdict.reasons[1].says(CODEX)) == (
            "Not Class I because rub at least 4.1 cm² is over 4 cm² for size B"
        )

    def test_a_mark_seen_but_not_measured_breaks_nil_and_leaves_a_figure_unjudged(self) -> None:
        verdict = grade(CODEX, Fruit(4200, defects=(Defect("rub"),)))
        assert verdict.class_id == "I"
        assert verdict.not_judged == (NotJudged("skin-marks", "skin marks", ("rub",)),)
        assert verdict.reasons[0].clause(CODEX) == "rub was seen, not measured, and none is allowed"

    def test_a_colour_not_taken_is_not_judged(self) -> None:
        verdict = grade(KESTROW, Fruit(4000))
        assert verdict.class_id == "one"
        assert verdict.not_judged == (NotJudged("colour", "colour stage", ("colour stage",)),)

    def test_a_lower_end_already_reached_passes(self) -> None:
        spec = read_spec(MARKET.replace('to = "<= 2"', 'to = ">= 1"'), crops())
        there = Fruit(4000, 4, (Defect("sunburn", 5),), frozenset({"sunburn", "rot"}))
        unsure = [limit.limit_id for limit in grade(spec, there).not_judged]
        assert "few" not in unsure
        assert "few" in [limit.limit_id for limit in grade(spec, Fruit(4000, 4, (), frozenset())).not_judged]


class TestTrays:
    def test_a_fruit_with_a_class_and_a_count_is_packed(self) -> None:
        verdict = grade(CODEX, Fruit(4375), SEVEN_KG)
        assert (verdict.count, verdict.outlet, verdict.packed) == (CountResult(16), None, True)

    def test_too_small_for_the_tray_is_a_result_beside_the_class(self) -> None:
        verdict = grade(CODEX, Fruit(2500, defects=(Defect("rub", 100),)), SEVEN_KG)
        assert verdict.class_id == "I"
        assert verdict.count == CountResult(None, Misfit.TOO_LIGHT)
        assert verdict.outlet is not None
        assert (verdict.outlet.id, verdict.packed) == ("loose-bulk", False)
        assert plain(grade(CODEX, Fruit(2500), SEVEN_KG).says(CODEX)) == "Extra Class, too small for this tray"
        assert plain(verdict.says(CODEX)) == (
            "Class I because rub 1 cm² where none is allowed; too small for this tray"
        )

    def test_too_big_for_the_tray(self) -> None:
        assert grade(CODEX, Fruit(7950), SEVEN_KG).says(CODEX) == "Extra Class, too big for this tray"

    def test_what_makes_no_class_has_no_count(self) -> None:
        assert grade(CODEX, Fruit(4200, defects=(Defect("rot"),)), SEVEN_KG).count is None


class TestOutlets:
    @pytest.mark.parametrize(
        ("fruit", "outlet", "packed"),
        [
            (Fruit(2500, 4), "loose", True),  # by the limit that every class broke
            (Fruit(4000, 4, (Defect("rot"),)), "juice", False),  # no outlet takes rot: the catch-all
            (Fruit(2500, 4, (Defect("rot"),)), "loose", True),  # the first outlet that takes the case
            (Fruit(4000, 1), "juice", False),
        ],
    )
    def test_the_first_outlet_that_takes_the_case(self, fruit: Fruit, outlet: str, *, packed: bool) -> None:
        verdict = grade(KESTROW, fruit)
        assert verdict.class_id is None
        assert verdict.outlet is not None
        assert (verdict.outlet.id, verdict.packed) == (outlet, packed)

    def test_a_limit_that_only_some_classes_broke_is_no_case_for_an_outlet(self) -> None:
        spec = read_spec(MARKET.replace('"too light", "weight"', '"too light", "colour"'), crops())
        marked = (Defect("rub", share_bp=600),)
        for stage, outlet in ((2, "juice"), (1, "loose")):  # stage 2 is still good enough for the second class
            verdict = grade(spec, Fruit(4000, stage, marked))
            assert verdict.outlet is not None
            assert verdict.outlet.id == outlet

    def test_rot_goes_to_waste_under_a_published_standard(self) -> None:
        verdict = grade(CODEX, Fruit(4200, defects=(Defect("rot"), Defect("rub", 900))))
        assert verdict.outlet is not None
        assert verdict.outlet.id == "waste"


OVERLAPPING = """\
id = "overlapping"
title = "Invented, sizes overlap"
crop = "mango"
edition = "1"

[source]
standard = "invented"
edition = "1"
mark = "read"

[[class]]
id = "only"
name = "Only class"

[scale]
of = "weight"
rounding = "none"
bands = [{ name = "small", to = ">= 200 g and <= 320 g" }, { name = "large", to = ">= 300 g and < 500 g" }]

[[limit]]
id = "marks"
name = "marks"
of = "rub"
take = "sum"
by = "area"
rows = [{ size = "small", to = "<= 3 cm2" }, { size = "large", to = "<= 4 cm2" }]

[[outlet]]
id = "juice"
name = "Juice"
packed = false
takes = ["no class"]
"""
