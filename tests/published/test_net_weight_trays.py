"""Worked trays of 7 kg. The trays are made up; what they come to was worked out apart from this program.

T 105 g, 2 × T 210 g: New Zealand, Weights and Measures Regulations 1999, Schedule 7A, read; a lot of 60 is its row
40 to 79: n 12, factor 0.826, one permitted; a lot of 39: factor 0.746, none permitted. The inequality is that of OIML
R 87, from memory. Handbook 133: factor 0.635, from memory. United Kingdom, SI 2006/659, Schedule 2, 4: k 0.503, read.
"""

from fractions import Fraction

import pytest

from shedgrade.domain.trays.net_weight.check import Held, LabelCheck, check_label
from shedgrade.domain.trays.net_weight.label import Label
from shedgrade.domain.trays.net_weight.rule_sets import NEW_ZEALAND_1999, UNITED_KINGDOM_2006, US_HANDBOOK_133
from shedgrade.domain.trays.net_weight.rules import RuleSet

SEVEN_KG = Label(7_000)
A = [7045, 7012, 6988, 7060, 7031, 6995, 7020, 7075, 6940, 7050, 7008, 7036]
B = [6990, 7005, 6950, 7010, 6985, 6890, 7000, 6970, 7015, 6960, 6995, 6980]
C = [*A[:2], 6780, *A[3:]]
# Alike and a little light each: what B is not. Its limit is under its mean error.
D = [6985, 6970, 6990, 6975, 6960, 6988, 6972, 7000, 6965, 6980, 6950, 6978]
THIRTY = [
    *(7012, 6992, 7025, 7003, 6985, 7040, 6978, 7018, 7007, 6995, 7030, 6989, 7009, 7000, 7022),
    *(6982, 7014, 6997, 7027, 7006, 6991, 7016, 6975, 7035, 7002, 6994, 7011, 7020, 6987, 7008),
]


def held(check: LabelCheck) -> tuple[Held, Held, Held]:
    return check.average.held, check.short.held, check.single.held


def figures(check: LabelCheck) -> list[str]:
    """Mean error, s, factor × s, and the first and the last together, to four places."""
    average = check.average
    assert average.mean_error is not None
    said = (average.mean_error, average.s(4), average.allowance(4), average.mean_error + average.allowance(8))
    return [f"{float(figure):.4f}" for figure in said]


@pytest.mark.parametrize(
    ("trays", "worked", "over_t", "over_twice", "answers"),
    [
        (A, "21.6667 36.6193 30.2475 51.9142", 0, 0, (Held.HOLDS, Held.HOLDS, Held.HOLDS)),
        (B, "-20.8333 34.3666 28.3868 7.5534", 1, 0, (Held.HOLDS, Held.HOLDS, Held.HOLDS)),
        (C, "4.3333 78.8639 65.1416 69.4749", 1, 1, (Held.HOLDS, Held.HOLDS, Held.FAILS)),
    ],
    ids="ABC",
)
def test_a_lot_of_sixty(
    trays: list[int], worked: str, over_t: int, over_twice: int, answers: tuple[Held, Held, Held]
) -> None:
    check = check_label(trays, SEVEN_KG, 60, NEW_ZEALAND_1999)
    assert figures(check) == worked.split()
    assert (check.short.t, check.single.twice) == (Fraction(105), Fraction(210))
    assert (len(check.short.found), len(check.single.found), check.short.permitted) == (over_t, over_twice, 1)
    assert held(check) == answers


def test_b_in_a_lot_of_thirty_nine_has_too_many_short_trays() -> None:
    check = check_label(B, SEVEN_KG, 39, NEW_ZEALAND_1999)
    assert held(check) == (Held.HOLDS, Held.FAILS, Held.HOLDS)
    assert figures(check)[-1] == "4.8041"
    assert (check.short.found, check.short.permitted) == ((5,), 0)


def test_b_passes_narrowly_by_handbook_133_and_its_single_trays_are_not_judged() -> None:
    """The factor is from memory; without the table of largest allowed shortages nothing is said of single trays."""
    check = check_label(B, SEVEN_KG, 60, US_HANDBOOK_133)
    assert check.average.allowance(4) == Fraction("21.8228")
    assert held(check) == (Held.HOLDS, Held.NOT_KNOWN, Held.NOT_KNOWN)


@pytest.mark.parametrize("rules", [NEW_ZEALAND_1999, US_HANDBOOK_133], ids=lambda rules: str(rules.id))
def test_trays_alike_and_a_little_light_fail_the_average_with_none_short_by_more_than_t(rules: RuleSet) -> None:
    """287 g light in all, none by more than 50 g; B is 250 g light in all, which its spread lets through."""
    check = check_label(D, SEVEN_KG, 60, rules)
    assert check.average.mean_error == Fraction(-287, 12)
    assert check.average.allowance(4) == Fraction(
        {"new-zealand-1999": "11.4749", "us-handbook-133": "8.8215"}[rules.id]
    )
    assert check.average.held is Held.FAILS
    assert check.short.found == ()


def test_thirty_trays_by_the_british_mean_check_and_too_few_for_the_contents_check() -> None:
    check = check_label(THIRTY, SEVEN_KG, 300, UNITED_KINGDOM_2006)
    assert check.average.mean_error is not None
    assert f"{float(check.average.mean_error + 7000):.4f}" == "7005.6667"
    assert check.average.s(4) == Fraction("17.0665")
    assert 7000 - check.average.allowance(4) == Fraction("6991.4156")
    assert held(check) == (Held.HOLDS, Held.NOT_ENOUGH, Held.NOT_ENOUGH)
    assert (check.average.needed, check.short.needed, check.short.taken) == (30, 50, 30)
