"""What a check of trays says to people."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.source import Mark
from shedgrade.domain.trays.net_weight.at_scale import scale_fit, tray_marks
from shedgrade.domain.trays.net_weight.check import Held, check_label
from shedgrade.domain.trays.net_weight.check_words import say_check
from shedgrade.domain.trays.net_weight.label import Label, LabelledBy
from shedgrade.domain.trays.net_weight.rule_sets import (
    AUSTRALIA_2009,
    EU_PACKER,
    NEW_ZEALAND_1999,
    RULE_SETS,
    SINGAPORE_2022,
    UNITED_KINGDOM_2006,
    US_HANDBOOK_133,
)
from shedgrade.domain.trays.net_weight.rules import RuleSet
from shedgrade.domain.trays.net_weight.scale_words import say_count, say_scale, say_tray
from shedgrade.domain.trays.net_weight.weighed import Drying
from shedgrade.domain.trays.net_weight.words import NOTE, say_rules
from shedgrade.domain.units import THIN

SEVEN_KG = Label(7_000)
EIGHTEEN = Label(18, LabelledBy.COUNT)
B = [6990, 7005, 6950, 7010, 6985, 6890, 7000, 6970, 7015, 6960, 6995, 6980]
FROM_MEMORY = "from memory: confirm against the text."


def said(nets: list[int], lot: int = 60, rules: RuleSet = NEW_ZEALAND_1999, label: Label = SEVEN_KG) -> list[str]:
    return [each.replace(THIN, " ") for each in say_check(check_label(nets, label, lot, rules))]


def test_three_answers_with_their_figures() -> None:
    assert said(B) == [
        (
            "Average holds: 12 trays are on average 20.8 g under the label; for so many that differ so, up to 28.4 g "
            f"under is allowed (factor 0.826, s 34.4 g). The test is {FROM_MEMORY}"
        ),
        "Short by more than T holds: 1 of 12 trays is short by more than 105 g (tray 6), 1 may be.",
        "Short by more than 2 × T holds: none of 12 trays is short by more than 210 g.",
    ]


def test_a_tray_far_too_short_is_named_with_what_to_do() -> None:
    assert said([7010, 7010, 6780]) == [
        (
            "Average: not enough weighed, 3 of the 12 trays that New Zealand 1999 asks for of a lot of 60. So far 3 "
            f"trays are on average 66.7 g under the label. The test is {FROM_MEMORY}"
        ),
        (
            "Short by more than T: not enough weighed, 3 of the 12 trays that New Zealand 1999 asks for of a lot of 60."
            " So far 1 of 3 trays is short by more than 105 g (tray 3)."
        ),
        (
            "Short by more than 2 × T fails: 1 of 3 trays is short by more than 210 g (tray 3), none may be. Such a "
            "tray must not leave as it is: fill it up, or label it anew."
        ),
    ]


def test_too_many_short_trays_are_told_before_all_are_weighed() -> None:
    assert said([6890, 7010, 6880])[1].endswith(
        "So far 2 of 3 trays are short by more than 105 g (trays 1 and 3), 1 may be: weighing on cannot make that good."
    )


def test_only_a_few_of_many_trays_are_named() -> None:
    assert (
        "9 of 12 trays are short by more than 105 g (trays 1, 2, 3, 4, 5, 6 and 3 more)"
        in said([6890] * 9 + [7000] * 3)[1]
    )


def test_a_mean_that_fails_narrowly_is_told_from_what_is_allowed() -> None:
    """s is 1000 g, so that 826 g are allowed: with one decimal a hundredth of a gram more would be "826 g" too."""
    spread = [2000, -2000, 1000, -1000, 500, -500, 500, -500, 0, 0, 0, 0]
    contents = [7000 - Fraction("826.01") + each for each in spread]
    average = say_check(check_label(contents, SEVEN_KG, 60, NEW_ZEALAND_1999))[0].replace(THIN, " ")
    assert average.startswith("Average fails: 12 trays are on average 826.01 g under the label")
    assert "up to 826 g under is allowed" in average


@pytest.mark.parametrize(
    ("lot", "rules", "words"),
    [
        (60, AUSTRALIA_2009, "not known, Australia 2009 has no plan for a lot of 60: its plan begins at lots of 100."),
        (60, SINGAPORE_2022, "not known, the plan of Singapore 2022 is not given here (its table could not be read)."),
    ],
)
def test_where_there_is_no_plan_it_says_so(lot: int, rules: RuleSet, words: str) -> None:
    assert said(B, lot, rules)[0].startswith(f"Average: {words} So far 12 trays are on average 20.8 g under the label.")


def test_handbook_133_says_that_its_table_is_not_known_and_what_is_from_memory() -> None:
    average, short, single = said(B, 60, US_HANDBOOK_133)
    assert average.endswith(f"The plan and the test are {FROM_MEMORY}")
    for answer in (short, single):
        assert ": not known, " in answer
        assert "largest allowed shortages (MAV), which is not known here" in answer


def test_all_weighed_and_under_is_said_without_a_factor() -> None:
    average, short, _ = said([6999] * 40, 40, EU_PACKER)
    assert (
        average == "Average fails: 40 trays are on average 1 g under the label, with all weighed it may not be under."
    )
    assert short.endswith(f"The plan, T and its rounding are {FROM_MEMORY}")


def test_one_tray_at_the_label() -> None:
    assert said([7000], 1, UNITED_KINGDOM_2006) == [
        "Average holds: 1 tray is on average just at the label.",
        "Short by more than T holds: none of 1 tray is short by more than 105 g, none may be.",
        "Short by more than 2 × T holds: none of 1 tray is short by more than 210 g.",
    ]


def test_packs_by_count_speak_of_fruit() -> None:
    assert said([18] * 49 + [17], 150, AUSTRALIA_2009, EIGHTEEN)[2] == (
        "Short by more than 2 × T fails: 1 of 50 trays is short (tray 50), none may be. Such a tray "
        "must not leave as it is: fill it up, or label it anew."
    )


@given(
    st.lists(st.integers(6_700, 7_300), max_size=14), st.sampled_from(list(RULE_SETS.values())), st.integers(14, 300)
)
def test_whatever_stands_on_memory_says_so_and_no_answer_is_for_all_three(
    nets: list[int], rules: RuleSet, lot: int
) -> None:
    check = check_label(nets, SEVEN_KG, lot, rules)
    average, short, single = say_check(check)
    for answer, held in ((average, check.average.held), (short, check.short.held), (single, check.single.held)):
        assert f" {held}" in answer
        assert "OK" not in answer
    memory = {source.mark for source in (rules.average.source, rules.average.form_source)}
    if check.average.held is not Held.NOT_KNOWN:
        assert average.endswith(FROM_MEMORY) is (Mark.FROM_MEMORY in memory)
    if rules.deficiency.bands and nets:
        assert single.endswith(FROM_MEMORY) is (rules.deficiency.source.mark is Mark.FROM_MEMORY)


@pytest.mark.parametrize(
    ("net_g", "words"),
    [
        (7_150, "OVER, 150 g more than the label"),
        (7_000, "RIGHT, just the label"),
        (6_950, "RIGHT, 50 g less than the label"),
        (6_880, "UNDER, 120 g less than the label"),
        (6_780, "UNDER, 220 g less than the label: it must not leave as it is"),
    ],
)
def test_a_tray_at_the_packers_scale(net_g: int, words: str) -> None:
    marks = tray_marks(SEVEN_KG, 100, NEW_ZEALAND_1999, never_short=False)
    assert say_tray(net_g, marks).replace(THIN, " ") == words


@pytest.mark.parametrize(
    ("step_g", "error_g", "begins"),
    [
        (5, 0, "The scale is fine enough"),
        (50, 0, "The scale's step of 50 g is too coarse"),
        (5, -30, "The scale's error of 30 g is too large"),
    ],
)
def test_a_scale_in_words(step_g: int, error_g: int, begins: str) -> None:
    words = say_scale(scale_fit(SEVEN_KG, AUSTRALIA_2009, step_g, error_g), AUSTRALIA_2009).replace(THIN, " ")
    assert words == f"{begins}: for 7 kg it may be off by 21 g at most, 1/5 of T."


def test_a_scale_says_what_it_takes_from_memory_and_what_it_does_not_know() -> None:
    assert say_scale(scale_fit(SEVEN_KG, EU_PACKER, 5), EU_PACKER).endswith(f"T and its rounding are {FROM_MEMORY}")
    assert "is not known here" in say_scale(scale_fit(SEVEN_KG, US_HANDBOOK_133, 5), US_HANDBOOK_133)


@pytest.mark.parametrize(
    ("counted", "label", "rules", "words"),
    [
        (18, 18, AUSTRALIA_2009, "18 fruit for a label of 18 fruit: none is missing."),
        (19, 18, AUSTRALIA_2009, "19 fruit for a label of 18 fruit: none is missing."),
        (17, 18, AUSTRALIA_2009, "17 fruit for a label of 18 fruit: 1 missing, none may be."),
        (119, 120, AUSTRALIA_2009, "119 fruit for a label of 120 fruit: 1 missing, up to 2 may be."),
        (
            17,
            18,
            UNITED_KINGDOM_2006,
            "17 fruit for a label of 18 fruit: 1 missing; what United Kingdom 2006 allows is not known here.",
        ),
    ],
)
def test_a_counted_pack_in_words(counted: int, label: int, rules: RuleSet, words: str) -> None:
    assert say_count(counted, Label(label, LabelledBy.COUNT), rules).replace(THIN, " ") == words


def test_a_tray_by_weight_is_not_counted() -> None:
    with pytest.raises(ValueError, match="weighed, not counted"):
        say_count(18, SEVEN_KG, AUSTRALIA_2009)


@pytest.mark.parametrize("rules", RULE_SETS.values(), ids=RULE_SETS)
def test_every_part_of_a_set_says_where_it_comes_from_and_how_well_it_is_known(rules: RuleSet) -> None:
    lines = say_rules(rules)
    assert len(lines) == len(rules.parts)
    for line, (_, source) in zip(lines, rules.parts, strict=True):
        assert source.standard in line
        assert source.mark.says in line
        assert source.mark in (Mark.READ, Mark.CALCULATED) or source.note, line


def test_the_note_says_whose_plans_these_are_and_that_the_law_counts() -> None:
    assert "inspectors" in NOTE
    assert "law" in NOTE


@pytest.mark.parametrize(
    ("drying", "words"),
    [
        (Drying(), ""),
        (Drying(share_bp=150), "1.5 % of each tray is taken off for drying."),
        (Drying(tray_g=40), "40 g of each tray is taken off for drying."),
    ],
)
def test_drying_in_words(drying: Drying, words: str) -> None:
    assert drying.says().replace(THIN, " ") == words


@pytest.mark.parametrize(
    ("label", "words"), [(SEVEN_KG, "7 kg"), (Label(1_001), "1.001 kg"), (Label(750), "750 g"), (EIGHTEEN, "18 fruit")]
)
def test_a_label_in_words(label: Label, words: str) -> None:
    assert label.says().replace(THIN, " ") == words
