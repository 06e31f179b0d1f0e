"""Each way of taking a figure: from measures of the crop, and from marks by length, place, state and size of fruit."""

from fractions import Fraction

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit, Load, MaturityFigure
from shedgrade.domain.grading.one import GradingError, figure, grade
from shedgrade.domain.grading.takes import Extent
from shedgrade.domain.spec.model import Spec
from tests.support.quell import limit, plain, quell


def nearest(spec: Spec, fruit: Fruit, load: Load | None = None) -> str:
    return plain(grade(spec, fruit, load=load or Load()).says(spec))


def with_figures(**figures: int) -> Fruit:
    return Fruit(1000, measures=tuple((name.replace("_", "-"), value) for name, value in figures.items()))


def of(spec: Spec, fruit: Fruit) -> tuple[Fraction, Extent]:
    taken = figure(spec, spec.limits[0].measure, fruit)
    return Fraction(taken.num, taken.den), taken.extent


class TestMeasuresOfTheCrop:
    WIDTH = quell(limit('of = "width"\ntake = "value"\nrows = [{ class = "I", to = ">= 50 mm" }]'))

    def test_a_length_is_held_against_its_end_in_millimetres(self) -> None:
        assert grade(self.WIDTH, with_figures(width=500)).class_id == "I"
        assert nearest(self.WIDTH, with_figures(width=499)) == "Class II because width 49.9 mm is under 50 mm"

    def test_what_was_not_taken_is_named_and_stops_no_class(self) -> None:
        verdict = grade(self.WIDTH, Fruit(1000))
        assert (verdict.class_id, verdict.not_judged[0].missing) == ("I", ("width",))
        assert verdict.not_judged[0].says(self.WIDTH) == "it (width)"

    def test_a_measure_the_crop_does_not_have_is_refused(self) -> None:
        with pytest.raises(GradingError, match='no measure "girth"'):
            grade(self.WIDTH, with_figures(girth=1))

    def test_shares_of_two_measures_add_up(self) -> None:
        spec = quell(limit('of = ["good-colour", "pale-colour"]\ntake = "sum"\nto = ">= 66 %"'))
        assert grade(spec, with_figures(good_colour=4000, pale_colour=2600)).class_id == "I"
        assert nearest(spec, with_figures(good_colour=4000, pale_colour=2599)) == (
            "No class because good colour and pale colour together 65.99 % is under 66 %"
        )
        assert grade(spec, with_figures(good_colour=6600)).not_judged == ()
        assert grade(spec, with_figures(good_colour=6500)).not_judged[0].missing == ("pale-colour",)

    def test_a_shape_is_one_measure_over_the_other(self) -> None:
        """As kiwifruit in the EU (Reg. 543/2011, second-hand): 35 to 50 mm is 0.7 and passes, 34.9 does not."""
        spec = quell(limit('of = ["least-width", "width"]\ntake = "ratio"\nrows = [{ class = "I", to = ">= 0.7" }]'))
        assert grade(spec, with_figures(least_width=350, width=500)).class_id == "I"
        assert nearest(spec, with_figures(least_width=349, width=500)) == (
            "Class II because least width to width 0.7 is just under 0.7"
        )
        assert grade(spec, with_figures(least_width=349)).not_judged[0].missing == ("width",)

    def test_sugar_to_acid_is_taken_as_the_two_are_written(self) -> None:
        spec = quell(limit('of = ["brix", "acid"]\ntake = "ratio"\nto = ">= 7.5"'))
        tests = (MaturityFigure("brix", Fraction(900), 10), MaturityFigure("acid", Fraction(12, 1000), 10))
        assert grade(spec, Fruit(1000), load=Load(tests=tests)).class_id == "I"
        less = (MaturityFigure("brix", Fraction(899), 10), tests[1])
        assert grade(spec, Fruit(1000), load=Load(tests=less)).class_id is None

    def test_a_test_of_the_load_speaks_for_each_of_its_fruit(self) -> None:
        spec = quell(limit('of = "dry-matter"\ntake = "value"\nto = "> 21 % and < 35 %"'))
        for share, said in ((Fraction(21, 100), "is not over 21 %"), (Fraction(35, 100), "is not under 35 %")):
            load = Load(tests=(MaturityFigure("dry-matter", share, 10),))
            assert nearest(spec, Fruit(1000), load).endswith(said)
        assert grade(spec, with_figures(dry_matter=2500)).not_judged[0].missing == ("dry-matter",)


class TestMarks:
    def test_lengths_add_up_and_a_mark_without_one_was_only_seen(self) -> None:
        spec = quell(limit('of = "crack"\ntake = "sum"\nby = "length"\nto = "<= 10 mm"'))
        cracks = (Defect("crack", length_dmm=60), Defect("crack", length_dmm=41))
        assert nearest(spec, Fruit(1000, defects=cracks)) == "No class because crack 10.1 mm is over 10 mm"
        assert grade(spec, Fruit(1000, defects=(Defect("crack"),))).not_judged[0].missing == ("crack",)

    def test_the_largest_single_mark(self) -> None:
        spec = quell(limit('of = ["scar", "scald"]\ntake = "largest"\nby = "area"\nto = "<= 2 cm2"'))
        two = (Defect("scar", 200), Defect("scald", 200))
        assert grade(spec, Fruit(1000, defects=two)).class_id == "I"
        one = (Defect("scar", 201), Defect("scald", 200))
        assert nearest(spec, Fruit(1000, defects=one)) == "No class because the largest scar 2.01 cm² is over 2 cm²"
        assert of(spec, Fruit(1000, defects=(*two, Defect("scar")))) == (Fraction(200), Extent.AT_LEAST)
        assert of(spec, Fruit(1000, defects=(Defect("scar"),))) == (Fraction(0), Extent.MORE_THAN)

    def test_places_are_counted_and_a_mark_without_a_number_is_one(self) -> None:
        """As pink spot of Australian mangoes (industry class 1, 2016): 5 spots are within, 6 are not."""
        spec = quell(limit('of = "spots"\ntake = "places"\nto = "< 6"'))
        assert grade(spec, Fruit(1000, defects=(Defect("spots", places=5),))).class_id == "I"
        more = (Defect("spots", places=5), Defect("spots"))
        assert nearest(spec, Fruit(1000, defects=more)) == "No class because spots: 6 places is not under 6"

    def test_circles_are_an_area(self) -> None:
        spec = quell(limit('of = "scar"\ntake = "sum"\nby = "area"\nto = "<= 2 circles of 6 mm"'))
        # Two circles of 6 mm are 2 x pi x 9 mm² = 56.549 mm², worked by hand.
        assert grade(spec, Fruit(1000, defects=(Defect("scar", 56),))).class_id == "I"
        assert grade(spec, Fruit(1000, defects=(Defect("scar", 57),))).class_id is None

    def test_an_area_as_on_a_fruit_of_another_size(self) -> None:
        """On a fruit twice as wide four times the area counts as much."""
        text = 'of = "scar"\ntake = "sum"\nby = "area"\nas_on = { of = "width", size = "60 mm" }\nto = "<= 1 cm2"'
        spec = quell(limit(text))
        wide = Fruit(1000, defects=(Defect("scar", 400),), measures=(("width", 1200),))
        assert grade(spec, wide).class_id == "I"
        narrow = Fruit(1000, defects=(Defect("scar", 100),), measures=(("width", 300),))
        assert nearest(spec, narrow) == ("No class because scar 4 cm², as on a fruit of 60 mm width, is over 1 cm²")
        unknown = grade(spec, Fruit(1000, defects=(Defect("scar", 100),)))
        assert (unknown.class_id, unknown.not_judged[0].missing) == ("I", ("width",))
        assert grade(spec, Fruit(1000)).not_judged == ()


class TestStates:
    SPEC = quell(
        limit('of = ["scar", "scald"]\ntake = "present"\nstate = "progressive"\nto = "nil"', "progressive marks")
        + limit(
            'of = ["scar", "scald"]\ntake = "sum"\nby = "area"\nstate = "into flesh"\nto = "<= 2 cm2"', "deep marks"
        )
    )

    def test_a_mark_in_the_state_counts(self) -> None:
        """As avocado in the OECD brochure (second-hand): sunburn of 1 cm² is too much when it is progressive."""
        assert nearest(self.SPEC, self.marked(Defect("scald", 100, states=frozenset({"progressive"})))) == (
            "No class because it has scald that is progressive"
        )
        assert grade(self.SPEC, self.marked(Defect("scald", 100, states=frozenset()))).class_id == "I"

    def test_a_state_nobody_looked_at_leaves_the_limit_not_judged_and_is_named(self) -> None:
        verdict = grade(self.SPEC, self.marked(Defect("scald", 100)))
        assert (verdict.class_id, [each.limit_id for each in verdict.not_judged]) == ("I", ["progressive-marks"])
        assert verdict.not_judged[0].words(self.SPEC) == ("the state of scald",)

    def test_a_figure_that_fits_with_or_without_the_unsure_mark_is_judged(self) -> None:
        deep = Defect("scar", 100, states=frozenset({"into flesh"}))
        fine = grade(self.SPEC, self.marked(deep, Defect("scar", 100)))
        assert [each.limit_id for each in fine.not_judged] == ["progressive-marks"]
        unsure = grade(self.SPEC, self.marked(deep, Defect("scar", 101)))
        assert [each.limit_id for each in unsure.not_judged] == ["progressive-marks", "deep-marks"]

    def test_a_kind_that_is_never_in_the_state_does_not_count(self) -> None:
        verdict = grade(self.SPEC, self.marked(Defect("scald", 900, states=frozenset({"into flesh"}))))
        assert verdict.class_id == "I"

    @staticmethod
    def marked(*marks: Defect) -> Fruit:
        return Fruit(1000, defects=marks)
