"""New Zealand: Weights and Measures Regulations 1999, Schedule 7A."""

from fractions import Fraction

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.trays.net_weight.rule_sets.shared import (
    FIFTH_ELSEWHERE,
    PERCENT,
    TO_15_KG,
    count_not_read,
    from_memory,
    noted,
)
from shedgrade.domain.trays.net_weight.rules import (
    AveragePlan,
    AverageRow,
    Band,
    Deficiency,
    Form,
    Rounding,
    RuleSet,
    ShortPlan,
    ShortRow,
)

_NZ = Source(
    "New Zealand, Weights and Measures Regulations",
    "1999",
    "Schedule 7A",
    Mark.READ,
    address="https://www.legislation.govt.nz/regulation/public/1999/0373/latest/DLM302360.html",
)
_NZ_RULE = Source(
    "New Zealand, Weights and Measures Regulations",
    "1999",
    "84B",
    Mark.INFERRED,
    "the text lets no inadequate package through; that one is short by more than twice T is read in Singapore's Act",
    "http://www.legislation.govt.nz/regulation/public/2001/0305/latest/whole.html",
)


NEW_ZEALAND_1999 = RuleSet(
    "new-zealand-1999",
    "New Zealand 1999",
    Deficiency((*TO_15_KG, Band(None, share=PERCENT)), _NZ),
    Rounding((), noted(_NZ, "what was read says nothing of rounding, so T is not rounded", Mark.OUR_READING)),
    count_not_read(_NZ),
    AveragePlan(
        (
            AverageRow(2, 12, None, Fraction(0)),
            AverageRow(13, 39, 12, Fraction("0.746")),
            AverageRow(40, 79, 12, Fraction("0.826")),
            AverageRow(80, 149, 12, Fraction("0.860")),
            AverageRow(150, 399, 32, Fraction("0.465")),
            AverageRow(400, 4_000, 32, Fraction("0.483")),
            AverageRow(4_001, None, 80, Fraction("0.295")),
        ),
        Form.ERROR,
        _NZ,
        from_memory(
            _NZ,
            "the text asks a weighted average of at least the label; that the weight is factor × s, as in OIML "
            "R 87, is from memory",
            "84B",
        ),
    ),
    ShortPlan(
        (
            ShortRow(2, 12, None, 0),
            ShortRow(13, 39, 12, 0),
            ShortRow(40, 79, 12, 1),
            ShortRow(80, 149, 12, 2),
            ShortRow(150, 399, 32, 3),
            ShortRow(400, 4_000, 32, 4),
            ShortRow(4_001, None, 80, 6),
        ),
        _NZ,
    ),
    _NZ_RULE,
    FIFTH_ELSEWHERE,
)
