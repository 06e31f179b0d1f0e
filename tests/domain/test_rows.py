"""Which row of a limit speaks: by what is said of the load, by the day, by switches; and limits with several ways."""

from datetime import date
from fractions import Fraction

import pytest

from shedgrade.domain.grading.facts import NOTHING_SAID, Defect, Fruit, Load, MaturityFigure
from shedgrade.domain.grading.one import grade
from shedgrade.domain.grading.plan import plan_for
from tests.support.quell import limit, plain, quell


def means(**found: Fraction | int) -> tuple[MaturityFigure, ...]:
    return tuple(MaturityFigure(name.replace("_", "-"), Fraction(mean), 10) for name, mean in found.items())


class TestFactsOfTheLoad:
    VARIETIES = quell(
        limit(
            'of = "dry-matter"\ntake = "value"\n'
            'rows = [{ variety = "Early Quell", to = ">= 21 %" }, { to = ">= 19 %" }]',
            "dry matter",
        )
    )

    @pytest.mark.parametrize(
        ("variety", "share", "class_id"),
        [("Early Quell", 210, "I"), ("Early Quell", 209, None), ("Long Quell", 190, "I"), ("Long Quell", 189, None)],
    )
    def test_the_first_row_of_the_variety(self, variety: str, share: int, class_id: str | None) -> None:
        """As dry matter of avocado (Codex CXS 197): 21 % for one variety, less for others; the figures are included."""
        load = Load(variety=variety, tests=means(dry_matter=Fraction(share, 1000)))
        assert grade(self.VARIETIES, Fruit(1000), load=load).class_id == class_id

    def test_the_variety_stands_in_the_sentence(self) -> None:
        load = Load(variety="Early Quell", tests=means(dry_matter=Fraction(209, 1000)))
        said = grade(self.VARIETIES, Fruit(1000), load=load).says(self.VARIETIES)
        assert plain(said) == "No class because dry matter 20.9 % (mean of 10 fruit) is under 21 % for Early Quell"

    def test_a_fact_nobody_gave_leaves_the_limit_not_judged(self) -> None:
        verdict = grade(self.VARIETIES, Fruit(1000), load=Load(tests=means(dry_matter=Fraction(0))))
        assert (verdict.class_id, verdict.not_judged[0].missing) == ("I", ("variety",))

    def test_a_row_that_surely_speaks_first_needs_no_more_facts(self) -> None:
        spec = quell(
            limit(
                'of = "weight"\ntake = "value"\n'
                'rows = [{ class = "I", to = ">= 90 g" }, { stage = "shop", to = "nil" }]'
            )
        )
        assert grade(spec, Fruit(900)).not_judged == ()
        assert grade(spec, Fruit(899)).not_judged[0].missing == ("stage of marketing",)

    def test_days_run_over_the_new_year(self) -> None:
        spec = quell(limit('of = "weight"\ntake = "value"\nrows = [{ days = "12-01 to 02-28", to = ">= 90 g" }]'))
        inside, outside = Load(day=date(2026, 1, 15)), Load(day=date(2026, 3, 1))
        assert grade(spec, Fruit(800), load=inside).class_id is None
        assert grade(spec, Fruit(800), load=outside).class_id == "I"
        assert grade(spec, Fruit(800)).not_judged[0].missing == ("day",)
        assert plain(grade(spec, Fruit(800), load=inside).says(spec)) == (
            "No class because the weight 80 g is under 90 g, from 1 Dec to 28 Feb"
        )

    def test_stage_destination_ground_and_presentation(self) -> None:
        guards = 'stage = "shop", destination = "north", grown_in = "hills", presentation = "layers"'
        spec = quell(limit(f'of = "weight"\ntake = "value"\nrows = [{{ {guards}, to = ">= 90 g" }}]'))
        load = Load(stage="shop", destination="north", grown_in="hills", presentation="layers")
        assert plain(grade(spec, Fruit(800), load=load).says(spec)) == (
            "No class because the weight 80 g is under 90 g, at shop, to north, grown in hills, presented layers"
        )
        assert grade(spec, Fruit(800), load=Load(stage="packing")).class_id == "I"
        assert grade(spec, Fruit(800)).not_judged[0].missing == (
            "stage of marketing",
            "destination",
            "where it was grown",
            "presentation",
        )

    def test_a_spec_that_asks_nothing_of_a_load_has_one_plan(self) -> None:
        spec = quell(limit('of = "rot"\ntake = "present"\nto = "nil"'))
        kept = plan_for(self.VARIETIES, Load(variety="Long Quell"))
        assert kept is plan_for(self.VARIETIES, Load(variety="Long Quell"))
        assert kept is not plan_for(self.VARIETIES, NOTHING_SAID)
        assert spec.crop.measures  # a test of the load could matter to another limit of this crop
        assert plan_for(spec, Load(stage="shop")).load == Load(stage="shop")


class TestSwitches:
    GREEN = quell(
        limit(
            'of = "good-colour"\ntake = "value"\n'
            'rows = [{ when = { "pale-colour" = "> 20 %" }, to = ">= 45 %" }, { to = ">= 35 %" }]',
            "juice",
        )
    )

    @pytest.mark.parametrize(
        ("green", "juice", "class_id"), [(2000, 3500, "I"), (2500, 4400, None), (2500, 4500, "I"), (2000, 3499, None)]
    )
    def test_a_figure_switches_the_row(self, green: int, juice: int, class_id: str | None) -> None:
        """As oranges of hot areas (Reg. 1580/2007): greener than one fifth, the juice must be 45 %, not 35."""
        fruit = Fruit(1000, measures=(("pale-colour", green), ("good-colour", juice)))
        assert grade(self.GREEN, fruit).class_id == class_id

    def test_the_switch_stands_in_the_sentence(self) -> None:
        fruit = Fruit(1000, measures=(("pale-colour", 2500), ("good-colour", 4400)))
        assert plain(grade(self.GREEN, fruit).says(self.GREEN)) == (
            "No class because good colour 44 % is under 45 %, where pale colour is over 20 %"
        )

    def test_a_switch_nobody_took_leaves_it_not_judged(self) -> None:
        verdict = grade(self.GREEN, Fruit(1000, measures=(("good-colour", 4400),)))
        assert (verdict.class_id, verdict.not_judged[0].missing) == ("I", ("pale-colour",))


class TestWays:
    RIPE = quell(
        limit(
            'of = "brix"\ntake = "value"\nto = ">= 6.2 Brix"\n'
            'or_else = [{ of = "dry-matter", take = "value", to = ">= 15 %" }]',
            "maturity",
        )
    )

    @pytest.mark.parametrize(
        ("brix", "dry", "class_id"), [(620, 140, "I"), (600, 150, "I"), (600, 140, None), (620, 150, "I")]
    )
    def test_one_way_that_holds_is_enough(self, brix: int, dry: int, class_id: str | None) -> None:
        """As kiwifruit at packing (Reg. 543/2011, second-hand): 6.2 Brix or 15 % dry matter."""
        load = Load(tests=means(brix=brix, dry_matter=Fraction(dry, 1000)))
        assert grade(self.RIPE, Fruit(1000), load=load).class_id == class_id

    def test_the_sentence_names_every_way_that_was_tried(self) -> None:
        load = Load(tests=means(brix=600, dry_matter=Fraction(14, 100)))
        verdict = grade(self.RIPE, Fruit(1000), load=load)
        assert plain(verdict.says(self.RIPE)) == (
            "No class because sugar 6 Brix (mean of 10 fruit) is under 6.2 Brix and "
            "dry matter 14 % (mean of 10 fruit) is under 15 %"
        )
        assert [way.measure.of for way in verdict.reasons[0].ways] == [("brix",), ("dry-matter",)]

    def test_a_way_that_was_not_taken_may_still_hold(self) -> None:
        verdict = grade(self.RIPE, Fruit(1000), load=Load(tests=means(brix=600)))
        assert (verdict.class_id, verdict.not_judged[0].missing) == ("I", ("dry-matter",))
        assert grade(self.RIPE, Fruit(1000), load=Load(tests=means(brix=620))).not_judged == ()

    def test_a_way_without_a_row_for_the_class_is_no_way(self) -> None:
        spec = quell(
            limit(
                'of = "rot"\ntake = "present"\nto = "nil"\n'
                'or_else = [{ of = "scar", take = "sum", by = "area", rows = [{ class = "II", to = "nil" }] }]'
            )
        )
        rotten = Fruit(1000, defects=(Defect("rot"),))
        assert grade(spec, rotten).class_id == "II"
        assert grade(spec, rotten).says(spec) == "Class II because it has rot"
