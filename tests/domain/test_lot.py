"""Whether a lot conforms: counts and shares, parts inside parts, packages, what must still hold, what nobody judged."""

import re
from fractions import Fraction

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit, Load
from shedgrade.domain.grading.lot import Inspection, judge_lot
from shedgrade.domain.grading.lot_verdict import Place
from shedgrade.domain.grading.lot_words import say_lot, say_open, say_part, say_places, say_reasons
from shedgrade.domain.grading.one import GradingError
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec
from tests.support.lots import FAIL, NUMBER, OPEN, PASS, WEIGHT, judged, lot
from tests.support.whole_spec import QUELL

HEAD = """\
id = "lots"
title = "Quell by the lot"
crop = "quell"
edition = "1"
[source]
standard = "made up for the test"
edition = "1"
mark = "our reading"
[[class]]
id = "I"
name = "Class I"
[[class]]
id = "II"
name = "Class II"
[scale]
of = "weight"
rounding = "none"
bands = [{ name = "S", to = ">= 50 g and <= 90 g" }, { name = "L", to = "> 90 g and <= 200 g" }]
[[limit]]
id = "scars"
name = "scars"
of = "scar"
take = "sum"
by = "area"
rows = [{ class = "I", to = "<= 1 cm2" }, { class = "II", to = "<= 3 cm2" }]
[[limit]]
id = "rot"
name = "rot"
of = "rot"
take = "present"
to = "nil"
[[limit]]
id = "size"
name = "size"
of = "size code"
take = "codes"
to = ">= 1"
[[limit]]
id = "window"
name = "weight of other sizes"
level = "tolerated"
of = "weight"
take = "value"
rows = [{ size = "S", to = ">= 40 g and <= 100 g" }]
[[limit]]
id = "even"
name = "uniform weight"
level = "package"
of = "weight"
take = "spread"
rows = [{ class = "I", to = "<= 30 g" }]
[[set]]
id = "below-i"
name = "below Class I"
below = "I"
[[set]]
id = "below-ii"
name = "below Class II"
below = "II"
[[set]]
id = "rotten"
name = "rotten"
has = "rot"
[[set]]
id = "other-size"
name = "of another size"
other_size = true
[[set]]
id = "size-or-uneven"
name = "of another size or uneven"
sets = "other-size"
breaks = "even"
[[set]]
id = "first"
name = "Class I quality"
meets = "I"
"""
TAIL = """
[[outlet]]
id = "rest"
name = "Rest"
packed = false
takes = ["no class"]
"""
QUALITY = """
[[tolerance]]
id = "quality"
name = "quality"
class = "I"
basis = ["number", "weight"]
scope = "lot"
of = "below-i"
to = "<= 10 %"
within = [{ of = "below-ii", to = "<= 1 %" }]
[[tolerance]]
id = "quality-ii"
name = "quality of Class II"
class = "II"
basis = ["number", "weight"]
scope = "lot"
of = "below-ii"
to = "<= 10 %"
within = [{ of = "rotten", to = "<= 2 %" }]
"""
SIZE = """
[[tolerance]]
id = "size"
name = "size"
basis = ["number", "weight"]
scope = "lot"
of = "other-size"
to = "<= 10 %"
still = "window"
"""

GOOD = Fruit(800)
SECOND = Fruit(800, defects=(Defect("scar", 200),))
OUT = Fruit(800, defects=(Defect("scar", 400),))
ROTTEN = Fruit(800, defects=(Defect("rot"),))
UNSEEN = Fruit(800, looked_for=frozenset({"scar"}))
LARGE = Fruit(950)


def spec(tolerances: str) -> Spec:
    return read_spec(HEAD + tolerances + TAIL, {QUELL.id: QUELL})


def sized(bands: str, of: str = "weight") -> Spec:
    """One up or down is tolerated, in these bands."""
    head = re.sub(
        r'of = "weight"\nrounding = "none"\nbands = .*', f'of = "{of}"\nrounding = "none"\nbands = [{bands}]', HEAD
    )
    return read_spec(head + tolerance("other-size", "<= 10 %", "next_size = true") + TAIL, {QUELL.id: QUELL})


def tolerance(of: str, to: str, more: str = "", scope: str = "lot", basis: str = '"number"') -> str:
    return f"""
[[tolerance]]
id = "{of}"
name = "{of}"
basis = {basis}
scope = "{scope}"
of = "{of}"
to = "{to}"
{more}
"""


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


TWO = spec(QUALITY)
BOTH = spec(QUALITY + SIZE)


class TestShares:
    def test_a_share_is_exact_and_its_base_is_every_fruit(self) -> None:
        verdict = judged(TWO, "I", lot((190, GOOD), (10, SECOND)))
        (quality,) = verdict.tolerances
        use = quality.part.whole
        assert use is not None
        assert (use.least, use.most, use.base, use.share, use.room) == (10, 10, 200, Fraction(1, 20), 10)
        assert (verdict.conforms, verdict.fruit, verdict.weight_dg) == (PASS, 200, 160_000)

    def test_inner_parts_count_over_the_same_base(self) -> None:
        verdict = judged(TWO, "I", lot((80, GOOD), (18, SECOND), (2, OUT)))
        outer, inner = verdict.tolerances[0].part.every()
        assert [(part.whole.least, part.whole.base) for part in (outer, inner) if part.whole] == [(20, 100), (2, 100)]
        assert (outer.own_answer, inner.own_answer, verdict.conforms) == (FAIL, FAIL, FAIL)

    def test_by_weight_it_is_the_weight_that_counts(self) -> None:
        heavy = Fruit(900, defects=(Defect("scar", 200),))
        fruits = lot((90, GOOD), (10, heavy))
        assert judged(TWO, "I", fruits).conforms is PASS
        verdict = judged(TWO, "I", fruits, basis=WEIGHT)
        assert verdict.conforms is FAIL
        use = verdict.tolerances[0].part.whole
        assert use is not None
        assert (use.least, use.base, use.share) == (9000, 81_000, Fraction(1, 9))
        assert [plain(said) for said in say_reasons(verdict)] == [
            (
                "below Class I: 0.9 kg of 8.1 kg = 11.11 %, at most 10 % allowed; 0.09 kg too much "
                "(fruit 91, 92, 93, 94, 95 and 96 of package 1 and 4 more)"
            )
        ]

    def test_a_strict_share_leaves_its_own_figure_out(self) -> None:
        strict = spec(tolerance("below-i", "< 10 %"))
        assert judged(strict, "I", lot((90, GOOD), (10, SECOND))).conforms is FAIL
        assert judged(strict, "I", lot((91, GOOD), (9, SECOND))).conforms is PASS

    def test_a_number_of_fruit_counts_fruit_whatever_the_basis(self) -> None:
        one = spec(tolerance("below-i", "<= 1", basis='["number", "weight"]'))
        assert judged(one, "I", lot((9, GOOD), (1, SECOND)), basis=WEIGHT).conforms is PASS
        assert judged(one, "I", lot((900, GOOD), (2, SECOND)), basis=WEIGHT).conforms is FAIL

    def test_a_number_of_fruit_is_said_as_one(self) -> None:
        one = spec(tolerance("below-i", "<= 1", scope="package"))
        verdict = judged(one, "I", lot((9, GOOD), (1, SECOND)), lot((8, GOOD), (2, SECOND)))
        assert (verdict.conforms, verdict.breakers) == (FAIL, (Place(1, 8), Place(1, 9)))
        assert plain(say_reasons(verdict)[0]) == (
            "package 2, below Class I: 2 of 10 fruit = 20 %, at most 1 fruit allowed; 1 too many (fruit 9 and 10)"
        )

    def test_a_multiple_of_a_number_for_one_package_stays_a_number(self) -> None:
        half_more = spec(tolerance("below-i", "<= 3", 'package_times = "1.5"'))
        assert judged(half_more, "I", lot((8, GOOD), (3, SECOND))).conforms is PASS
        (tolerated,) = judged(half_more, "I", lot((8, GOOD), (3, SECOND))).tolerances
        assert [(use.allowed.high, use.room) for use in tolerated.part.uses] == [(3, 0), (Fraction(9, 2), 1)]

    def test_a_sample_is_all_that_was_looked_at(self) -> None:
        sample = spec(tolerance("below-i", "<= 10 %", scope="sample"))
        assert judged(sample, "I", lot((8, GOOD), (2, SECOND)), lot((10, GOOD))).conforms is PASS
        assert judged(sample, "I", lot((7, GOOD), (3, SECOND)), lot((10, GOOD))).conforms is FAIL

    def test_an_inner_part_counts_only_what_the_outer_one_does(self) -> None:
        inner = 'within = [{ of = "below-i", to = "<= 1 %" }]'
        both = spec(tolerance("rotten", "<= 10 %", inner) + tolerance("below-i", "any"))
        assert judged(both, "I", lot((5, GOOD), (5, SECOND))).conforms is PASS
        assert judged(both, "I", lot((9, GOOD), (1, ROTTEN))).conforms is FAIL

    def test_a_zero_tolerance_inside_a_share(self) -> None:
        zero = spec(tolerance("below-i", "<= 10 %", 'within = [{ of = "rotten", to = "nil" }]'))
        assert judged(zero, "I", lot((199, GOOD), (1, OUT))).conforms is PASS
        verdict = judged(zero, "I", lot((199, GOOD), (1, ROTTEN)))
        assert verdict.conforms is FAIL
        assert plain(say_reasons(verdict)[0]) == (
            "rotten: 1 of 200 fruit = 0.5 %, none allowed; 1 too many (fruit 200 of package 1)"
        )

    def test_a_least_share(self) -> None:
        least = spec(tolerance("first", ">= 60 %") + tolerance("below-i", "any"))
        assert judged(least, "II", lot((6, GOOD), (4, SECOND))).conforms is PASS
        verdict = judged(least, "II", lot((5, GOOD), (5, SECOND)))
        assert verdict.conforms is FAIL
        assert plain(say_reasons(verdict)[0]) == (
            "Class I quality: 5 of 10 fruit = 50 %, at least 60 % needed; 1 short"
        )


class TestPackages:
    def test_a_lot_passes_where_a_package_would_not(self) -> None:
        bad, good = lot((9, GOOD), (3, SECOND)), lot((12, GOOD))
        assert judged(TWO, "I", bad, *[good] * 9).conforms is PASS
        verdict = judged(spec(tolerance("below-i", "<= 10 %", scope="package")), "I", bad, *[good] * 9)
        assert verdict.conforms is FAIL
        assert verdict.breakers == (Place(0, 9), Place(0, 10), Place(0, 11))
        assert verdict.tolerances[0].part.whole is None

    def test_a_single_package_may_reach_a_multiple(self) -> None:
        twice = spec(tolerance("below-i", "<= 10 %", "package_times = 2"))
        good = lot((10, GOOD))
        assert judged(twice, "I", lot((8, GOOD), (2, SECOND)), good).conforms is PASS
        verdict = judged(twice, "I", lot((7, GOOD), (3, SECOND)), good, good)
        assert verdict.conforms is FAIL
        assert [plain(said) for said in say_reasons(verdict)] == [
            "package 1, below Class I: 3 of 10 fruit = 30 %, at most 20 % allowed; 1 too many (fruit 8, 9 and 10)"
        ]
        assert judged(twice, "I", lot((8, GOOD), (2, SECOND)), lot((9, GOOD), (1, SECOND))).conforms is FAIL

    def test_an_uneven_package_breaks_the_lot_where_no_tolerance_takes_it_in(self) -> None:
        uneven = (*lot((19, GOOD)), Fruit(500))
        verdict = judged(TWO, "I", uneven, lot((20, GOOD)))
        assert (verdict.conforms, verdict.breakers) == (PASS, ())
        uneven = (*lot((19, GOOD)), Fruit(501), Fruit(900), Fruit(899))
        verdict = judged(TWO, "I", uneven, lot((20, GOOD)))
        assert (verdict.conforms, verdict.breakers) == (FAIL, (Place(0, 19),))
        assert [plain(said) for said in say_reasons(verdict)] == [
            "package 1, uniform weight: two fruit are 39.9 g apart, at most 30 g allowed (fruit 20 and 21)",
            "package 1, without 1 fruit it would be uniform (fruit 20)",
        ]
        assert verdict.by_class == (("I", FAIL), ("II", PASS))

    def test_a_set_may_take_in_the_fruit_that_make_a_package_uneven(self) -> None:
        taken_in = spec(QUALITY + tolerance("size-or-uneven", "<= 10 %"))
        verdict = judged(taken_in, "I", (*lot((19, GOOD)), Fruit(499), Fruit(900)))
        assert (verdict.conforms, verdict.uneven) == (PASS, ())
        (size,) = verdict.tolerances[1:]
        assert size.part.fruit == (Place(0, 19),)
        assert judged(taken_in, "I", (*lot((7, GOOD)), Fruit(499), Fruit(900))).conforms is FAIL

    def test_the_order_of_packages_does_not_matter(self) -> None:
        packages = [lot((9, GOOD), (1, SECOND)), lot((10, GOOD)), lot((8, GOOD), (2, OUT))]
        assert {judged(TWO, "I", *packages).conforms, judged(TWO, "I", *packages[::-1]).conforms} == {FAIL}


class TestSizes:
    def test_another_size_counts_as_size_not_as_quality(self) -> None:
        verdict = judged(BOTH, "I", lot((9, GOOD), (1, LARGE)), code="S")
        quality, size = verdict.tolerances
        assert (quality.part.fruit, size.part.fruit, verdict.conforms) == ((), (Place(0, 9),), PASS)

    def test_outside_the_window_one_fruit_breaks_the_lot(self) -> None:
        verdict = judged(BOTH, "I", lot((99, GOOD), (1, Fruit(1001))), code="S")
        assert (verdict.conforms, verdict.breakers) == (FAIL, (Place(0, 99),))
        assert plain(say_reasons(verdict)[0]) == (
            "weight of other sizes: tolerated fruit must keep to this too (fruit 100 of package 1)"
        )

    def test_a_fruit_of_no_size_is_of_another_size_too(self) -> None:
        assert judged(BOTH, "II", lot((9, GOOD), (1, Fruit(450))), code="S").conforms is PASS
        assert judged(BOTH, "II", lot((9, GOOD), (1, Fruit(399))), code="S").conforms is FAIL

    def test_a_label_without_a_size_asks_for_any(self) -> None:
        assert judged(BOTH, "II", lot((5, GOOD), (5, LARGE))).conforms is PASS
        verdict = judged(BOTH, "II", lot((9, GOOD), (1, Fruit(450))))
        assert verdict.tolerances[1].part.fruit == (Place(0, 9),)

    def test_without_a_tolerance_of_size_every_fruit_must_have_the_label_s(self) -> None:
        verdict = judged(TWO, "I", lot((99, GOOD), (1, LARGE)), code="S")
        assert (verdict.conforms, verdict.breakers) == (FAIL, (Place(0, 99),))
        assert say_reasons(verdict) == ("size S: no tolerance covers this (fruit 100 of package 1)",)


class TestNextSize:
    """Three sizes in a row: with one of 95 g on a label of S, one up, all is well; with one of 150 g, two up, not."""

    THREE = sized(
        '{ name = "S", to = ">= 50 g and <= 90 g" }, { name = "M", to = "> 90 g and <= 120 g" }, '
        '{ name = "L", to = "> 120 g and <= 200 g" }'
    )

    @pytest.mark.parametrize(
        ("code", "most_dg", "odd_dg", "answer"),
        [
            ("S", 800, 950, PASS),
            ("S", 800, 1500, FAIL),
            ("M", 1000, 800, PASS),
            ("M", 1000, 1500, PASS),
            ("L", 1500, 1000, PASS),
            ("L", 1500, 800, FAIL),
            ("S", 800, 450, FAIL),
        ],
    )
    def test_only_one_up_or_down_is_tolerated(self, code: str, most_dg: int, odd_dg: int, answer: Answer) -> None:
        verdict = judged(self.THREE, "II", lot((19, Fruit(most_dg)), (1, Fruit(odd_dg))), code=code)
        assert verdict.conforms is answer
        assert verdict.breakers == (() if answer is PASS else (Place(0, 19),))

    def test_the_reason_says_so(self) -> None:
        verdict = judged(self.THREE, "II", lot((19, GOOD), (1, Fruit(1500))), code="S")
        assert say_reasons(verdict) == (
            "one size up or down at most: tolerated fruit must keep to this too (fruit 20 of package 1)",
        )

    def test_a_label_without_a_size_has_no_next_one(self) -> None:
        assert judged(self.THREE, "II", lot((19, GOOD), (1, Fruit(450)))).conforms is PASS

    def test_without_the_figure_the_size_goes_by_it_stays_open(self) -> None:
        by_width = sized('{ name = "S", to = "<= 60 mm" }, { name = "M", to = "> 60 mm" }', of="width")
        wide = Fruit(800, measures=(("width", 550),))
        verdict = judged(by_width, "II", lot((19, wide), (1, GOOD)), code="S")
        assert (verdict.conforms, verdict.breakers) == (OPEN, ())
        assert [each.what.missing for each in verdict.not_judged] == [("width",)]


class TestNoTolerance:
    def test_every_fruit_must_make_the_class(self) -> None:
        bare = spec("")
        assert judged(bare, "I", lot((99, GOOD))).conforms is PASS
        verdict = judged(bare, "I", lot((99, GOOD), (1, SECOND)))
        assert (verdict.conforms, verdict.breakers, verdict.would_meet) == (FAIL, (Place(0, 99),), "II")

    def test_what_a_tolerance_does_not_name_it_does_not_take_care_of(self) -> None:
        rot_only = spec(tolerance("rotten", "<= 10 %"))
        assert judged(rot_only, "I", lot((9, GOOD), (1, ROTTEN))).conforms is PASS
        both = Fruit(800, defects=(Defect("rot"), Defect("scar", 200)))
        verdict = judged(rot_only, "I", lot((9, GOOD), (1, both)))
        assert verdict.conforms is FAIL
        assert verdict.outside[0].names == ("scars",)

    def test_a_set_as_written_for_another_class_takes_care_of_its_own_fruit_only(self) -> None:
        worse = spec(
            '[[set]]\nid = "worse"\nname = "worse"\nbreaks = "scars"\nas_class = "II"\n' + tolerance("worse", "<= 10 %")
        )
        assert judged(worse, "I", lot((9, GOOD), (1, OUT))).conforms is PASS
        assert judged(worse, "I", lot((9, GOOD), (1, SECOND))).conforms is FAIL

    def test_a_least_share_lets_nothing_pass(self) -> None:
        second = '[[set]]\nid = "second"\nname = "second"\nmeets = "II"\n'
        assert judged(spec(second + tolerance("second", ">= 60 %")), "I", lot((9, GOOD), (1, SECOND))).conforms is FAIL

    def test_a_fruit_of_no_size_fails_the_label_not_the_quality(self) -> None:
        verdict = judged(TWO, "II", lot((9, GOOD), (1, Fruit(450))), code="S")
        assert [each.part.fruit for each in verdict.tolerances] == [()]
        assert [each.names for each in verdict.outside] == [("size S",)]


class TestSizeLimits:
    """What stands beside ``other_size`` belongs to size."""

    LEAST = """
[[limit]]
id = "least"
name = "least weight"
of = "weight"
take = "value"
rows = [{ class = "I", to = ">= 70 g" }, { to = ">= 60 g" }]
[[set]]
id = "small"
name = "too small"
other_size = true
breaks = "least"
"""

    def test_it_does_not_count_as_quality(self) -> None:
        small = spec(self.LEAST + QUALITY + tolerance("small", "<= 20 %"))
        quality, size = judged(small, "I", lot((9, GOOD), (1, Fruit(650)))).tolerances
        assert (quality.part.fruit, size.part.fruit) == ((), (Place(0, 9),))

    def test_what_the_set_leaves_out_breaks_the_lot(self) -> None:
        as_two = spec(self.LEAST + 'as_class = "II"\n' + tolerance("small", "<= 20 %"))
        assert judged(as_two, "I", lot((9, GOOD), (1, Fruit(590)))).conforms is PASS
        verdict = judged(as_two, "I", lot((9, GOOD), (1, Fruit(650))))
        assert [each.names for each in verdict.outside] == [("least weight",)]


class TestNotJudged:
    def test_a_fruit_nobody_could_judge_makes_a_range(self) -> None:
        verdict = judged(TWO, "I", lot((189, GOOD), (10, SECOND), (1, UNSEEN)))
        use = verdict.tolerances[0].part.whole
        assert use is not None
        assert (use.least, use.most, verdict.conforms) == (10, 11, PASS)
        assert plain(say_part(verdict.tolerances[0].part)) == (
            "below Class I: from 10 to 11 of 200 fruit = from 5 % to 5.5 % of the 10 % allowed; 9 more would still do"
        )

    def test_the_answer_is_open_where_it_hangs_on_that_fruit(self) -> None:
        verdict = judged(TWO, "I", lot((79, GOOD), (20, SECOND), (1, UNSEEN)))
        assert verdict.conforms is FAIL
        verdict = judged(TWO, "I", lot((89, GOOD), (10, SECOND), (1, UNSEEN)))
        assert (verdict.conforms, verdict.breakers, verdict.would_meet) == (OPEN, (), "II")
        assert [(each.what.limit_name, each.fruit) for each in verdict.not_judged] == [("rot", 1)]
        assert plain(say_lot(verdict, TWO)) == ("Not known yet whether it meets Class I; it would meet Class II")

    def test_what_is_too_much_is_said_only_as_far_as_it_is_certain(self) -> None:
        verdict = judged(TWO, "I", lot((86, GOOD), (12, SECOND), (2, UNSEEN)))
        use = verdict.tolerances[0].part.whole
        assert use is not None
        assert (use.least, use.most, use.room, verdict.conforms) == (12, 14, -2, FAIL)

    def test_a_least_share_is_met_for_certain_or_not(self) -> None:
        least = spec(tolerance("first", ">= 60 %") + tolerance("below-i", "any"))
        verdict = judged(least, "I", lot((59, GOOD), (39, SECOND), (2, UNSEEN)))
        use = verdict.tolerances[0].part.whole
        assert use is not None
        assert (use.answer, use.least, use.most, use.spare) == (OPEN, 59, 61, 0)
        assert judged(least, "I", lot((60, GOOD), (38, SECOND), (2, UNSEEN))).tolerances[0].answer is PASS
        assert judged(least, "I", lot((57, GOOD), (41, SECOND), (2, UNSEEN))).tolerances[0].answer is FAIL

    def test_a_tolerated_fruit_that_may_not_keep_to_a_limit_leaves_it_open(self) -> None:
        still = spec(tolerance("below-i", "<= 10 %", 'still = "rot"'))
        unseen = Fruit(800, defects=(Defect("scar", 200),), looked_for=frozenset({"scar"}))
        assert judged(still, "I", lot((9, GOOD), (1, SECOND))).conforms is PASS
        assert judged(still, "I", lot((9, GOOD), (1, unseen))).conforms is OPEN
        assert judged(still, "I", lot((99, GOOD), (1, ROTTEN))).conforms is FAIL

    def test_what_a_fruit_must_keep_to_is_open_while_it_may_not_be_tolerated_at_all(self) -> None:
        heavy = Fruit(1010, looked_for=frozenset({"scar"}))
        maybe = spec(tolerance("rotten", "<= 10 %", 'still = "window"') + tolerance("other-size", "any"))
        assert judged(maybe, "II", lot((19, GOOD), (1, heavy)), code="S").conforms is OPEN
        assert judged(maybe, "II", lot((19, GOOD), (1, Fruit(1010))), code="S").conforms is PASS

    def test_without_a_size_known_the_rows_of_a_size_are_open(self) -> None:
        sized = read_spec(
            (HEAD + QUALITY + TAIL)
            .replace('of = "weight"\nrounding', 'of = "width"\nrounding')
            .replace('">= 50 g and <= 90 g"', '">= 50 mm and <= 90 mm"')
            .replace('"> 90 g and <= 200 g"', '"> 90 mm"')
            .replace('{ class = "I", to = "<= 1 cm2" }', '{ class = "I", size = "S", to = "<= 1 cm2" }'),
            {QUELL.id: QUELL},
        )
        verdict = judged(sized, "I", lot((1, SECOND)))
        assert verdict.tolerances[0].part.unsure == (Place(0, 0),)
        assert [each.what.limit_name for each in verdict.not_judged] == ["scars", "size"]

    def test_who_makes_a_package_uneven_is_open_while_figures_are_missing(self) -> None:
        by_width = read_spec(
            (HEAD + tolerance("size-or-uneven", "<= 10 %") + TAIL).replace(
                'of = "weight"\ntake = "spread"\nrows = [{ class = "I", to = "<= 30 g" }]',
                'of = "width"\ntake = "spread"\nto = "<= 5 mm"',
            ),
            {QUELL.id: QUELL},
        )
        assert judged(by_width, "I", lot((4, Fruit(800)))).conforms is OPEN

    def test_a_size_not_known_is_open_too(self) -> None:
        by_width = read_spec(
            (HEAD + QUALITY + SIZE + TAIL)
            .replace('of = "weight"\nrounding', 'of = "width"\nrounding')
            .replace('">= 50 g and <= 90 g"', '">= 50 mm and <= 90 mm"')
            .replace('"> 90 g and <= 200 g"', '"> 90 mm"'),
            {QUELL.id: QUELL},
        )
        wide = Fruit(800, measures=(("width", 600),))
        assert judged(by_width, "I", lot((10, wide)), code="S").conforms is PASS
        verdict = judged(by_width, "I", lot((5, wide), (5, GOOD)), code="S")
        assert (verdict.conforms, verdict.not_judged[0].fruit) == (OPEN, 5)
        assert "not judged: size (width), of 5 fruit" in say_open(verdict, by_width)


class TestSets:
    """Each condition of a set by itself; one is enough."""

    @pytest.mark.parametrize(
        ("condition", "inside"),
        [
            ('below = "II"', {OUT, ROTTEN}),
            ('meets = "II"', {GOOD, SECOND}),
            ('breaks = "scars"', {SECOND, OUT}),
            ('breaks = "scars"\nas_class = "II"', {OUT}),
            ('has = "scar"', {SECOND, OUT}),
            ('sets = ["rotten", "first"]', {GOOD, ROTTEN}),
            ('has = "rot"\nmeets = "I"', {GOOD, ROTTEN}),
        ],
    )
    def test_which_fruit_are_in_it(self, condition: str, inside: set[Fruit]) -> None:
        fruits = (GOOD, SECOND, OUT, ROTTEN)
        asked = spec(f'[[set]]\nid = "it"\nname = "it"\n{condition}\n' + tolerance("it", "any"))
        (found,) = judged(asked, "I", fruits).tolerances
        assert {fruits[place.fruit] for place in found.part.fruit} == inside


class TestWhatItWouldMeet:
    def test_the_best_class_it_conforms_to(self) -> None:
        verdict = judged(TWO, "I", lot((80, GOOD), (20, SECOND)))
        assert (verdict.would_meet, say_lot(verdict, TWO)) == (
            "II",
            "Does not meet Class I; it would meet Class II",
        )
        better = judged(TWO, "II", lot((100, GOOD)))
        assert say_lot(better, TWO) == "Meets Class II; it would meet Class I"
        assert say_lot(judged(TWO, "I", lot((1, GOOD), (1, OUT))), TWO) == ("Does not meet Class I; it meets no class")
        assert say_lot(judged(TWO, "I", lot((1, GOOD))), TWO) == "Meets Class I"


class TestRefused:
    @pytest.mark.parametrize(
        ("inspected", "message"),
        [
            (Inspection("III", None, NUMBER, ((GOOD,),)), 'the spec has no class "III": I or II'),
            (Inspection("I", "M", NUMBER, ((GOOD,),)), 'the spec has no size "M": S or L'),
            (Inspection("I", None, NUMBER, ()), "an inspection needs at least one fruit in every package"),
            (Inspection("I", None, NUMBER, ((GOOD,), ())), "an inspection needs at least one fruit in every package"),
            (Inspection("I", None, WEIGHT, ((GOOD,),)), '"below-i" is counted by number, not by weight'),
        ],
    )
    def test_a_question_that_does_not_fit_the_spec(self, inspected: Inspection, message: str) -> None:
        with pytest.raises(GradingError) as refused:
            judge_lot(spec(tolerance("below-i", "<= 10 %")), inspected)
        assert str(refused.value) == message


def test_the_load_s_facts_reach_the_limits() -> None:
    by_layers = read_spec(
        (HEAD + QUALITY + TAIL).replace(
            '{ class = "I", to = "<= 30 g" }', '{ presentation = "layers", to = "<= 5 g" }'
        ),
        {QUELL.id: QUELL},
    )
    fruits = (*lot((9, GOOD)), Fruit(860))
    for presentation, answer in ((None, OPEN), ("layers", FAIL), ("loose", PASS)):
        load = Load(presentation=presentation)
        assert judge_lot(by_layers, Inspection("I", None, NUMBER, (fruits,), load)).conforms is answer


def test_many_places_are_said_briefly() -> None:
    assert say_places((Place(1, 2),)) == "fruit 3 of package 2"
    many = say_places(tuple(Place(0, fruit) for fruit in range(9)))
    assert many == "fruit 1, 2, 3, 4, 5 and 6 of package 1 and 3 more"
    assert say_places((Place(0, 1), Place(2, 0), Place(2, 4))) == "fruit 2 of package 1 and fruit 1 and 5 of package 3"
