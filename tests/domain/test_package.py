"""Whether a package is uniform: which row counts, what breaks it, what cannot be said."""

from dataclasses import replace
from fractions import Fraction

import pytest

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.lot_words import say_package
from shedgrade.domain.grading.package import judge_package
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec
from tests.support.whole_spec import QUELL

HEAD = """\
id = "boxes"
title = "Quell in boxes"
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
bands = [{ name = "S", to = ">= 50 g and <= 90 g" }, { name = "L", to = "> 90 g" }]
"""
TAIL = """
[[outlet]]
id = "rest"
name = "Rest"
packed = false
takes = ["no class"]
"""
EVEN = """
[[limit]]
id = "even"
name = "uniform weight"
level = "package"
of = "weight"
take = "spread"
"""


def spec(limits: str) -> Spec:
    return read_spec(HEAD + limits + TAIL, {QUELL.id: QUELL})


def grams(*weights: float) -> list[Fruit]:
    return [Fruit(round(weight * 10)) for weight in weights]


def plain(words: tuple[str, ...]) -> list[str]:
    return [word.replace("\N{NARROW NO-BREAK SPACE}", " ") for word in words]


ROT = """
[[limit]]
id = "rot"
name = "rot"
of = "rot"
take = "present"
to = "nil"
"""
STEPS = spec(EVEN + 'rows = [{ when = { weight = "< 85 g" }, to = "<= 10 g" }, { to = "<= 15 g" }]')


def test_the_figure_the_bound_and_the_fruit_that_break_it() -> None:
    verdict = judge_package(STEPS, grams(80, 84, 82, 95, 83), "I")
    assert verdict.uniform is Answer.BROKEN
    (uneven,) = verdict.broken
    assert (uneven.figure, uneven.allowed.text(), uneven.smallest, uneven.largest) == (Fraction(150), "<= 10 g", 0, 3)
    assert verdict.breakers == (3,)
    assert plain(say_package(verdict, STEPS)) == [
        "uniform weight: two fruit are 15 g apart, at most 10 g allowed (fruit 1 and 4)",
        "without 1 fruit it would be uniform (fruit 4)",
    ]


def test_taking_out_the_smallest_fruit_may_change_the_row() -> None:
    verdict = judge_package(STEPS, grams(84, 86, 99, 100, 101, 95), "I")
    assert verdict.breakers == (0,)


def test_a_package_without_a_rule_is_uniform() -> None:
    classed = spec(EVEN + 'rows = [{ class = "I", to = "<= 10 g" }]')
    assert judge_package(classed, grams(60, 90), "I").uniform is Answer.BROKEN
    verdict = judge_package(classed, grams(60, 90), "II")
    assert (verdict.uniform, verdict.breakers, say_package(verdict, STEPS)) == (Answer.HOLDS, (), ())
    assert judge_package(spec(ROT), grams(60, 300), "I").uniform is Answer.HOLDS


def test_what_nobody_said_of_the_load_leaves_it_not_judged_with_its_name() -> None:
    layers = spec(EVEN + 'rows = [{ presentation = "layers", to = "<= 10 g" }, { to = "<= 30 g" }]')
    verdict = judge_package(layers, grams(60, 80), "I")
    assert verdict.uniform is Answer.NOT_JUDGED
    assert say_package(verdict, STEPS) == ("not judged: uniform weight (presentation)",)
    assert judge_package(layers, grams(60, 80), "I", load=Load(presentation="layers")).uniform is Answer.BROKEN
    assert judge_package(layers, grams(60, 80), "I", load=Load(presentation="loose")).uniform is Answer.HOLDS


def test_a_spread_among_the_label_size_leaves_other_fruit_out() -> None:
    among = spec(EVEN + 'among = "label size"\nto = "<= 20 g"')
    fruits = grams(60, 75, 100)
    assert judge_package(among, fruits, "I", "S").uniform is Answer.HOLDS
    assert judge_package(among, [*fruits, *grams(81)], "I", "S").uniform is Answer.BROKEN
    unlabelled = judge_package(among, fruits, "I")
    assert (unlabelled.uniform, unlabelled.not_judged[0].missing) == (Answer.NOT_JUDGED, ("size code",))


def test_without_a_size_on_the_label_a_row_of_a_size_is_not_judged() -> None:
    sized = spec(EVEN + 'rows = [{ class = "I", size = "S", to = "<= 10 g" }, { class = "I", to = "<= 50 g" }]')
    verdict = judge_package(sized, grams(60, 65), "I")
    assert (verdict.uniform, verdict.not_judged[0].missing) == (Answer.NOT_JUDGED, ("size code",))
    assert judge_package(sized, grams(60, 75), "I", "S").uniform is Answer.BROKEN
    assert judge_package(sized, grams(60, 75), "I", "L").uniform is Answer.HOLDS
    assert judge_package(sized, grams(60, 75), "II").uniform is Answer.HOLDS


def test_an_earlier_row_that_fits_needs_nothing_more() -> None:
    rows = 'rows = [{ when = { weight = "< 85 g" }, to = "<= 10 g" }, { presentation = "layers", to = "<= 15 g" }]'
    switched = spec(EVEN + rows)
    assert judge_package(switched, grams(80, 88), "I").uniform is Answer.HOLDS
    assert judge_package(switched, grams(85, 88), "I").uniform is Answer.NOT_JUDGED
    broken = judge_package(switched, grams(80, 81, 95, 96), "I")
    assert (broken.uniform, broken.breakers) == (Answer.BROKEN, (2, 3))  # 95 and 96 g alone could not be judged


def test_only_some_limits_can_be_asked() -> None:
    two = spec(EVEN + 'to = "<= 10 g"' + EVEN.replace('"even"', '"wide"') + 'to = "<= 50 g"')
    assert judge_package(two, grams(60, 90), "I").uniform is Answer.BROKEN
    assert judge_package(two, grams(60, 90), "I", only=frozenset({"wide"})).uniform is Answer.HOLDS


def wide(weight: float, width: float | None) -> Fruit:
    return replace(grams(weight)[0], measures=() if width is None else (("width", round(width * 10)),))


WIDTH = EVEN.replace('of = "weight"', 'of = "width"')


class TestWidths:
    def test_a_spread_of_widths(self) -> None:
        verdict = judge_package(spec(WIDTH + 'to = "<= 5 mm"'), [wide(60, 50), wide(60, 55.1)], "I")
        assert (
            plain(say_package(verdict, STEPS))[0]
            == "uniform weight: two fruit are 5.1 mm apart, at most 5 mm allowed (fruit 1 and 2)"
        )

    @pytest.mark.parametrize(
        ("widths", "answer"),
        [
            ((50, 55, None), Answer.NOT_JUDGED),
            ((50, 56, None), Answer.BROKEN),  # whatever the third one is
        ],
    )
    def test_a_width_not_taken(self, widths: tuple[float | None, ...], answer: Answer) -> None:
        verdict = judge_package(spec(WIDTH + 'to = "<= 5 mm"'), [wide(60, each) for each in widths], "I")
        assert verdict.uniform is answer

    def test_a_width_not_taken_may_choose_another_row(self) -> None:
        steps = spec(WIDTH + 'rows = [{ when = { width = "< 50 mm" }, to = "<= 20 mm" }, { to = "<= 5 mm" }]')
        verdict = judge_package(steps, [wide(60, 50), wide(60, 56), wide(60, None)], "I")
        assert (verdict.uniform, verdict.not_judged[0].missing) == (Answer.NOT_JUDGED, ("width",))

    def test_weight_or_width_is_enough(self) -> None:
        either = spec(EVEN + 'to = "<= 10 g"\nor_else = [{ of = "width", take = "spread", to = "<= 5 mm" }]')
        assert judge_package(either, [wide(60, 50), wide(80, 54)], "I").uniform is Answer.HOLDS
        assert judge_package(either, [wide(60, 50), wide(70, 60)], "I").uniform is Answer.HOLDS
        assert judge_package(either, [wide(60, 50), wide(80, None)], "I").uniform is Answer.NOT_JUDGED
        broken = judge_package(either, [wide(60, 50), wide(66, 60), wide(80, 53)], "I")
        assert (broken.uniform, len(broken.breakers)) == (Answer.BROKEN, 1)

    def test_a_way_without_a_row_lets_nothing_pass(self) -> None:
        ways = 'or_else = [{ of = "width", take = "spread", rows = [{ class = "II", to = "<= 5 mm" }] }]'
        switched = ways.replace('class = "II"', 'when = { weight = "< 50 g" }')
        for other in (ways, switched):
            verdict = judge_package(spec(EVEN + f'to = "<= 10 g"\n{other}'), [wide(60, 50), wide(80, 50)], "I")
            assert (verdict.uniform, verdict.breakers) == (Answer.BROKEN, (0,))
