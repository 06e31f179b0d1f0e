"""Australia: National Trade Measurement Regulations 2009."""

from fractions import Fraction

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.trays.net_weight.rule_sets.shared import (
    FIFTH_ELSEWHERE,
    FORM_NOTE,
    PERCENT,
    TENTH,
    TO_15_KG,
    from_memory,
)
from shedgrade.domain.trays.net_weight.rules import (
    AveragePlan,
    AverageRow,
    Band,
    CountRule,
    Deficiency,
    Form,
    Rounding,
    RuleSet,
    ShortPlan,
    ShortRow,
    Step,
)

_AU = Source(
    "Australia, National Trade Measurement Regulations",
    "2009",
    "4.36(4)",
    Mark.READ,
    address="http://www4.austlii.edu.au/au/legis/cth/num_reg/ntmr2009n233o2009457/s4.36.html",
)
_AU_PLAN = Source(
    _AU.standard,
    _AU.edition,
    "4.34",
    Mark.SECOND_HAND,
    "a copy with scrambled digits, confirmed by the formula of the factors and by the samples of the guide",
    "https://www.scribd.com/document/446353056/Essentials-of-Measurement-Regs",
)
_AU_GUIDE = Source(
    "Guide to the average quantity system in Australia",
    "2010",
    "examples of testing",
    Mark.READ,
    "the government's guide gives it as the third rule; the section of the regulations was not read",
    "https://www.industry.gov.au/data-and-publications/guide-to-the-average-quantity-system-in-australia/"
    "examples-of-average-quantity-system-testing",
)


AUSTRALIA_2009 = RuleSet(
    "australia-2009",
    "Australia 2009",
    Deficiency((*TO_15_KG, Band(50_000, share=PERCENT)), _AU),
    Rounding((Step(1_000, TENTH), Step(None, Fraction(1))), _AU),
    CountRule(50, PERCENT, _AU),
    AveragePlan(
        (
            AverageRow(100, 500, 50, Fraction("0.379")),
            AverageRow(501, 3_200, 80, Fraction("0.295")),
            AverageRow(3_201, None, 125, Fraction("0.234")),
        ),
        Form.ERROR,
        _AU_PLAN,
        from_memory(_AU, FORM_NOTE),
    ),
    ShortPlan(
        (ShortRow(100, 500, 50, 3), ShortRow(501, 3_200, 80, 5), ShortRow(3_201, None, 125, 7)),
        _AU_PLAN,
    ),
    _AU_GUIDE,
    FIFTH_ELSEWHERE,
)
