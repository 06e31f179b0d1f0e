"""The word at the packer's scale, and whether the scale is fine enough for it."""

from fractions import Fraction

import pytest

from shedgrade.domain.trays.net_weight.at_scale import Word, scale_fit, tray_marks
from shedgrade.domain.trays.net_weight.label import Label, LabelledBy
from shedgrade.domain.trays.net_weight.rule_sets import AUSTRALIA_2009, NEW_ZEALAND_1999, US_HANDBOOK_133

SEVEN_KG = Label(7_000)


@pytest.mark.parametrize(
    ("net_g", "by_t", "never_short"),
    [
        (6_789, Word.UNDER, Word.UNDER),
        (6_894, Word.UNDER, Word.UNDER),
        (6_895, Word.RIGHT, Word.UNDER),  # short by just T
        (6_999, Word.RIGHT, Word.UNDER),
        (7_000, Word.RIGHT, Word.RIGHT),
        (7_120, Word.RIGHT, Word.RIGHT),
        (7_121, Word.OVER, Word.OVER),
    ],
)
def test_one_word_a_tray(net_g: int, by_t: Word, never_short: Word) -> None:
    words = [tray_marks(SEVEN_KG, 120, NEW_ZEALAND_1999, never_short=strict).word(net_g) for strict in (False, True)]
    assert words == [by_t, never_short]


@pytest.mark.parametrize(("net_g", "stays"), [(6_789, True), (6_790, False), (7_000, False)])
def test_short_by_more_than_twice_t_does_not_leave(net_g: int, stays: bool) -> None:
    assert tray_marks(SEVEN_KG, 120, NEW_ZEALAND_1999, never_short=False).must_not_leave(net_g) is stays


def test_without_a_t_nothing_below_the_label_is_right() -> None:
    marks = tray_marks(SEVEN_KG, 120, US_HANDBOOK_133, never_short=False)
    assert (marks.word(6_999), marks.word(7_000)) == (Word.UNDER, Word.RIGHT)
    assert not marks.must_not_leave(1)


def test_marks_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="counted, not weighed"):
        tray_marks(Label(18, LabelledBy.COUNT), 0, AUSTRALIA_2009, never_short=True)
    with pytest.raises(ValueError, match="upper mark is 0 g or more"):
        tray_marks(SEVEN_KG, -1, AUSTRALIA_2009, never_short=True)


@pytest.mark.parametrize(("step_g", "coarse"), [(1, False), (20, False), (21, False), (22, True), (50, True)])
def test_a_step_may_be_a_fifth_of_t(step_g: int, coarse: bool) -> None:
    """Northern Ireland, SR 2011/331, Schedule 2, 1.3, read: 21 g for a tray of 7 kg, steps of 20 g just do."""
    fit = scale_fit(SEVEN_KG, AUSTRALIA_2009, step_g)
    assert fit.most_g == 21
    assert fit.step_too_coarse is coarse


@pytest.mark.parametrize(("error_g", "large"), [(0, False), (21, False), (-21, False), (22, True), (-22, True)])
def test_the_error_found_may_be_a_fifth_of_t_either_way(error_g: int, large: bool) -> None:
    assert scale_fit(SEVEN_KG, AUSTRALIA_2009, 5, error_g).error_too_large is large


def test_a_small_pack_wants_a_fine_scale() -> None:
    """T of 125 g is 5.7 g: a fifth is 1.14 g."""
    fit = scale_fit(Label(125), AUSTRALIA_2009, 2)
    assert (fit.most_g, fit.step_too_coarse) == (Fraction("1.14"), True)


@pytest.mark.parametrize("label", [SEVEN_KG, Label(18, LabelledBy.COUNT)])
def test_where_no_t_is_known_nobody_can_say(label: Label) -> None:
    fit = scale_fit(label, US_HANDBOOK_133, 20)
    assert (fit.most_g, fit.step_too_coarse, fit.error_too_large) == (None, None, None)


def test_a_scale_without_steps_is_refused() -> None:
    with pytest.raises(ValueError, match="over 0 g"):
        scale_fit(SEVEN_KG, AUSTRALIA_2009, 0)
