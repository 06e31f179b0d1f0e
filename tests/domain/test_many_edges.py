"""Many fruit at once at the edges: none at all, figures past 63 bits, what is refused, what reaches every branch."""

from collections import Counter
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.grading.facts import NOTHING_SAID, Defect, Fruit, Load
from shedgrade.domain.grading.many.columns import MEASURE_NOT_TAKEN, NOT_TAKEN, Columns, Marks
from shedgrade.domain.grading.many.from_fruit import columns_of
from shedgrade.domain.grading.many.grading import grade_many
from shedgrade.domain.grading.many.whole import MOST, Different, at_rows, by_value, on, over, plus, times, under
from shedgrade.domain.grading.takes import GradingError
from shedgrade.domain.spec.library import standards
from tests.support.made_up import few, fruit
from tests.support.many_fruit import TRAY, assert_agree, assert_figures_agree
from tests.support.quell import limit, quell

CODEX = standards()["mango-codex-cxs184"]
WHOLE = st.one_of(st.integers(-50, 50), st.integers(-MOST, MOST))
ENDS = st.tuples(WHOLE, st.integers(1, 10**6), st.booleans())


def test_no_fruit() -> None:
    found = grade_many(CODEX, columns_of([]), TRAY)
    assert (len(found), found.by_class(), found.number_unsure, found.class_ids()) == (0, {}, 0, [])
    assert found.broken.shape == (3, len(CODEX.limits), 0)


def test_columns_written_by_hand() -> None:
    """Four mangoes: clean; 3.5 cm² of rub on 300 g and on 400 g; rotten and never looked at for the rest."""
    rub = Marks(np.array([1, 2]), area_mm2=np.array([350, 350]))
    columns = Columns(
        weight_dg=np.array([3000, 3000, 4000, 3000]),
        stage=np.full(4, NOT_TAKEN),
        marks={"rub": rub, "rot": Marks(np.array([3]))},
        looked=np.array([0, 0, 0, 1]),
        looked_for=(None, frozenset({"rot"})),
    )
    found = grade_many(CODEX, columns)
    assert found.class_ids() == ["Extra", "II", "I", None]
    assert found.by_class() == {"Extra": 1, "I": 1, "II": 1, None: 1}
    assert [found.codes[code] for code in found.judged_as] == ["A", "A", "B", "A"]
    assert [(each.class_id, each.limit_id, each.value) for each in found.missed(1)] == [
        ("Extra", "skin-marks", Fraction(350)),
        ("I", "skin-marks", Fraction(350)),
    ]
    assert [outlet.id for outlet in CODEX.outlets if found.outlet[3] == CODEX.outlets.index(outlet)] == ["waste"]
    assert found.verdict(3).outlet == CODEX.outlets[0]


@few
@given(st.lists(fruit(), max_size=6))
def test_fruit_come_back_from_columns(some: list[Fruit]) -> None:
    columns = columns_of(some)
    for place, each in enumerate(some):
        back = columns.fruit(place)
        assert (back.weight_dg, back.stage, back.looked_for) == (each.weight_dg, each.stage, each.looked_for)
        assert dict(back.measures) == dict(each.measures)
        assert Counter(back.defects) == Counter(each.defects)


def test_figures_whose_products_pass_63_bits() -> None:
    """Areas of 10^17 mm² as on another fruit, their sum past 10^18, and a ratio of such lengths: no sum wraps round."""
    huge = 10**17
    as_on = 'as_on = { of = "width", size = "63.5 mm" }'
    limits = (
        limit(f'of = "scar"\ntake = "sum"\nby = "area"\nto = "<= 900000000 cm2"\n{as_on}', "as on"),
        limit('of = ["least-width", "width"]\ntake = "ratio"\nto = ">= 0.8"', "shape"),
        limit('of = ["scar", "russet"]\ntake = "largest"\nby = "share"\nto = "<= 10 %"', "share"),
    )
    spec = quell("".join(limits))
    marks = (*(Defect("scar", huge + number) for number in range(90)), Defect("russet", share_bp=200))
    widths = [(10**18, 8 * 10**17), (10**18, 8 * 10**17 - 1), (635, 500), (1, 1)]
    some = [
        Fruit(10**6, defects=marks[:each], measures=(("width", w), ("least-width", n)))
        for each in (1, 91)
        for w, n in widths
    ]
    assert_agree(spec, some, NOTHING_SAID)
    assert_figures_agree(spec, some, NOTHING_SAID)


def test_a_figure_of_more_than_63_bits_is_refused() -> None:
    with pytest.raises(ValueError, match="a figure of 9223372036854775808 is too large for a column"):
        columns_of([Fruit(2**63)])
    assert min(MEASURE_NOT_TAKEN, NOT_TAKEN) == -(2**63)


def test_codes_are_as_many_as_the_fruit() -> None:
    with pytest.raises(ValueError, match="1 size codes for 2 fruit"):
        columns_of([Fruit(3000), Fruit(3000)], ["A"])


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (Fruit(3000, defects=(Defect("scale"),)), 'no defect kind "scale"'),
        (Fruit(3000, measures=(("length", 5),)), 'no measure "length" of a fruit'),
    ],
)
def test_what_the_crop_does_not_know_is_refused(one: Fruit, said: str) -> None:
    with pytest.raises(GradingError, match=said):
        grade_many(CODEX, columns_of([one]), None, Load())


@given(st.lists(WHOLE, min_size=1, max_size=5), st.lists(st.integers(1, MOST), min_size=5, max_size=5), ENDS)
def test_comparing_is_exact(nums: list[int], dens: list[int], end: tuple[int, int, bool]) -> None:
    top, bottom, closed = end
    num, den = np.array(nums), np.array(dens[: len(nums)])
    for by in (den, dens[0]):
        each = [Fraction(one, other) for one, other in zip(nums, dens if by is den else dens[:1] * 5, strict=False)]
        edge = Fraction(top, bottom)
        assert over(num, by, end).tolist() == [one > edge or (one == edge and not closed) for one in each]
        assert under(num, by, end).tolist() == [one < edge or (one == edge and not closed) for one in each]
        assert on(num, by, end).tolist() == [one == edge for one in each]


@given(st.lists(st.tuples(WHOLE, WHOLE), min_size=1, max_size=5), WHOLE)
def test_sums_and_products_are_exact(pairs: list[tuple[int, int]], factor: int) -> None:
    one, other = (np.array(column) for column in zip(*pairs, strict=True))
    assert plus(one, other).tolist() == [first + second for first, second in pairs]
    assert times(one, other).tolist() == [first * second for first, second in pairs]
    assert times(one, factor).tolist() == [first * factor for first, _ in pairs]


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, MOST)), max_size=6), st.booleans())
def test_adding_up_and_the_largest_by_fruit(marks: list[tuple[int, int]], largest: bool) -> None:
    marks.sort()
    rows, figures = (np.array([mark[side] for mark in marks], dtype=int) for side in (0, 1))
    found = at_rows(4, [(rows, figures, len(set(rows.tolist())) == len(rows))], largest=largest)
    take = max if largest else sum
    assert found.tolist() == [take([0, *(figure for row, figure in marks if row == place)]) for place in range(4)]


@given(st.lists(WHOLE, max_size=8))
def test_each_different_figure_is_asked_once(figures: list[int]) -> None:
    asked: list[int] = []

    def cube(figure: int) -> int:
        asked.append(figure)
        return figure**3

    assert by_value(np.array(figures, dtype=int), cube).tolist() == [figure**3 for figure in figures]
    assert asked == sorted(set(figures)) == Different(np.array(figures, dtype=int)).figures.tolist()
