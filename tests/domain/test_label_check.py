"""Checks of packed trays: what holds whatever was weighed."""

from collections.abc import Callable
from decimal import Decimal, localcontext
from fractions import Fraction
from statistics import fmean, variance

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shedgrade.domain.trays.net_weight.check import Held, LabelCheck, check_label
from shedgrade.domain.trays.net_weight.label import Label, LabelledBy
from shedgrade.domain.trays.net_weight.rule_sets import (
    AUSTRALIA_2009,
    EU_PACKER,
    NEW_ZEALAND_1999,
    RULE_SETS,
    SINGAPORE_2022,
    UNITED_KINGDOM_2006,
)
from shedgrade.domain.trays.net_weight.rules import Form, RuleSet
from shedgrade.domain.trays.net_weight.tolerable import tolerable_deficiency
from shedgrade.domain.trays.net_weight.weighed import Drying, WeighedTray, nets_of

SEVEN_KG = Label(7_000)
NETS = st.integers(6_700, 7_300)
SETS = st.sampled_from(list(RULE_SETS.values()))


def check(nets: list[int], lot: int = 60, rules: RuleSet = NEW_ZEALAND_1999) -> LabelCheck:
    return check_label(nets, SEVEN_KG, lot, rules)


FORMS: dict[Form, Callable[[Decimal, Decimal], bool]] = {
    Form.ERROR: lambda mean_error, allowance: mean_error + allowance >= 0,
    Form.MEAN: lambda mean_error, allowance: 7000 + mean_error >= 7000 - allowance,
    Form.LIMIT: lambda mean_error, allowance: not (mean_error < 0 and -mean_error > allowance),
}


@given(st.lists(NETS, min_size=12, max_size=12), st.sampled_from([39, 60, 149]))
def test_every_form_of_the_average_test_gives_the_exact_answer(nets: list[int], lot: int) -> None:
    """In decimals of 60 places, where nothing stands so near to its limit that they could not tell."""
    average = check(nets, lot).average
    assert average.factor is not None
    with localcontext(prec=60):
        errors = [Decimal(net - 7000) for net in nets]
        mean = sum(errors, Decimal()) / 12
        s2 = sum(((each - mean) ** 2 for each in errors), Decimal()) / 11
        allowance = Decimal(average.factor.numerator) / average.factor.denominator * s2.sqrt()
        assume(abs(mean + allowance) > Decimal("1e-40"))
        answers = {form(mean, allowance) for form in FORMS.values()}
    assert answers == {average.held is Held.HOLDS}


@pytest.mark.parametrize(("light_g", "held"), [(826, Held.HOLDS), (827, Held.FAILS)])
def test_just_at_its_limit_the_average_holds(light_g: int, held: Held) -> None:
    """These errors have an s of exactly 1000 g, so that a factor of 0.826 allows exactly 826 g."""
    spread = [2000, -2000, 1000, -1000, 500, -500, 500, -500, 0, 0, 0, 0]
    average = check([7000 - light_g + each for each in spread]).average
    assert average.variance == 1_000_000
    assert average.allowance() == 826
    assert average.held is held


def test_with_all_weighed_the_average_may_be_at_the_label_and_not_under() -> None:
    assert check([6990] * 6 + [7010] * 6, 12).average.held is Held.HOLDS
    assert check([6990] * 6 + [7010] * 5 + [7009], 12).average.held is Held.FAILS


@given(st.lists(NETS, min_size=2, max_size=12))
def test_mean_and_variance_are_those_of_the_statistics_module(nets: list[int]) -> None:
    average = check(nets).average
    assert average.mean_error is not None
    assert average.variance is not None
    assert float(average.mean_error) == pytest.approx(fmean(nets) - 7000)
    assert average.variance == variance([Fraction(net) for net in nets])


@given(st.lists(NETS, max_size=11), SETS)
def test_with_too_few_trays_there_is_no_verdict_but_a_tray_far_too_short(nets: list[int], rules: RuleSet) -> None:
    found = check(nets, 120, rules)
    open_ = {Held.NOT_ENOUGH, Held.NOT_KNOWN}
    assert {found.average.held, found.short.held} <= open_
    twice = found.single.twice
    far_too_short = twice is not None and any(net < 7000 - twice for net in nets)
    assert found.single.held is Held.FAILS if far_too_short else found.single.held in open_


def test_too_many_short_trays_among_too_few_say_that_weighing_on_does_not_help() -> None:
    short = check([7000, 6890, 7010, 6880]).short
    assert (short.held, short.found, short.permitted, short.already_too_many) == (Held.NOT_ENOUGH, (1, 3), 1, True)
    assert not check([7000, 6890]).short.already_too_many


@given(st.lists(NETS, min_size=12, max_size=12), st.lists(NETS, max_size=12))
def test_what_is_weighed_after_the_plan_is_full_changes_only_the_single_trays(nets: list[int], more: list[int]) -> None:
    first, both = check(nets), check([*nets, *more])
    assert (both.average, both.short) == (first.average, first.short)
    assert both.single.taken == len(nets) + len(more)
    assert set(first.single.found) <= set(both.single.found)


@given(st.lists(NETS, min_size=1, max_size=40), SETS)
def test_short_by_just_t_or_just_twice_t_is_not_short_by_more(nets: list[int], rules: RuleSet) -> None:
    t = tolerable_deficiency(SEVEN_KG, rules)
    assume(t is not None)
    assert t is not None
    edge = check_label([7000 - t, 7000 - 2 * t], SEVEN_KG, 40, rules)
    assert (edge.short.found, edge.single.found) == ((1,), ())
    found = check(nets, 40, rules)
    assert found.single.found == tuple(place for place, net in enumerate(nets) if 7000 - net > 2 * t)


@given(st.lists(NETS, min_size=12, max_size=12), st.integers(0, 11), st.integers(1, 300))
def test_a_heavier_tray_never_makes_a_tray_short(nets: list[int], place: int, more: int) -> None:
    heavier = [*nets[:place], nets[place] + more, *nets[place + 1 :]]
    before, after = check(nets), check(heavier)
    assert set(after.short.found) <= set(before.short.found)
    assert set(after.single.found) <= set(before.single.found)


def test_each_plan_takes_its_own_number_of_trays() -> None:
    """British contents take the first 50 of a lot of 300, the mean the first 30; those behind them are left out."""
    nets = [7000] * 30 + [6890] * 3 + [7000] * 17 + [6890] * 2
    found = check(nets, 300, UNITED_KINGDOM_2006)
    assert found.average.taken == 30
    assert found.average.mean_error == 0
    assert (found.short.taken, found.short.found) == (50, (30, 31, 32))
    assert (found.short.held, found.single.taken) == (Held.HOLDS, 52)


def test_a_small_british_lot_is_weighed_whole_and_may_have_one_in_twenty() -> None:
    nets = [7010] * 38 + [6890] * 2
    found = check(nets, 40, UNITED_KINGDOM_2006)
    assert (found.average.held, found.short.held, found.short.permitted) == (Held.HOLDS, Held.HOLDS, 2)
    assert check(nets[1:], 40, UNITED_KINGDOM_2006).short.held is Held.NOT_ENOUGH
    assert check([6890, *nets[1:]], 40, UNITED_KINGDOM_2006).short.held is Held.FAILS


def test_the_packers_rules_want_the_whole_lot_and_no_allowance() -> None:
    light = [6999] + [7000] * 79
    assert check(light, 80, EU_PACKER).average.held is Held.FAILS
    assert check(light[:79], 80, EU_PACKER).average.held is Held.NOT_ENOUGH
    short = [6890] * 2 + [7010] * 78
    assert check(short, 80, EU_PACKER).short.held is Held.HOLDS
    assert check([6890, *short[:79]], 80, EU_PACKER).short.held is Held.FAILS


@pytest.mark.parametrize("rules", [AUSTRALIA_2009, SINGAPORE_2022], ids=lambda rules: str(rules.id))
def test_without_a_plan_for_the_lot_only_a_tray_far_too_short_is_judged(rules: RuleSet) -> None:
    fine = check([7000] * 60, 60, rules)
    assert (fine.average.held, fine.short.held, fine.single.held) == (Held.NOT_KNOWN,) * 3
    assert check([7000, 6789], 60, rules).single.held is Held.FAILS


def test_nothing_weighed_gives_no_figure() -> None:
    nothing = check([])
    assert (nothing.average.mean_error, nothing.average.variance) == (None, None)
    assert nothing.average.s() == 0
    assert nothing.average.held is Held.NOT_ENOUGH


@pytest.mark.parametrize(("weighed", "lot"), [(3, 2), (0, 0)])
def test_a_lot_holds_what_was_weighed_of_it(weighed: int, lot: int) -> None:
    with pytest.raises(ValueError, match="a lot holds at least 1 tray"):
        check([7000] * weighed, lot)


@pytest.mark.parametrize("by", LabelledBy)
def test_a_label_says_more_than_nothing(by: LabelledBy) -> None:
    with pytest.raises(ValueError, match=f"a {by} over 0"):
        Label(0, by)


def test_no_check_gives_one_answer_for_all_three() -> None:
    assert not any(isinstance(value, Held) for value in (getattr(check([7000]), name) for name in LabelCheck.__slots__))


def test_net_is_gross_less_tare_less_what_dries_off() -> None:
    trays = [WeighedTray(7_650, 620), WeighedTray(7_700, Fraction(6205, 10))]
    assert nets_of(trays) == (Fraction(7_030), Fraction("7079.5"))
    assert nets_of(trays, Drying(share_bp=150)) == (Fraction("6924.55"), Fraction("6973.3075"))
    assert nets_of(trays, Drying(tray_g=40)) == (Fraction(6_990), Fraction("7039.5"))


@given(st.integers(1, 20_000), st.integers(0, 9_999))
def test_drying_never_adds_and_never_takes_all(net_g: int, share_bp: int) -> None:
    assert 0 < Drying(share_bp=share_bp).left_of(net_g) <= net_g


@pytest.mark.parametrize(("gross_g", "tare_g"), [(600, 600), (500, 620), (700, -1)])
def test_a_tray_that_cannot_be_is_refused(gross_g: int, tare_g: int) -> None:
    with pytest.raises(ValueError, match="tray weighs"):
        WeighedTray(gross_g, tare_g)


@pytest.mark.parametrize(
    ("share_bp", "tray_g", "words"),
    [(-1, 0, "0 or more"), (10_000, 0, "less than all"), (0, -5, "0 or more"), (1, 1, "one")],
)
def test_a_drying_allowance_that_cannot_be_is_refused(share_bp: int, tray_g: int, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Drying(share_bp, tray_g)
