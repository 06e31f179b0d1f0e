"""European Union: the three rules that a packer keeps, for a whole lot."""

from fractions import Fraction

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.trays.net_weight.rule_sets.shared import (
    DIRECTIVE,
    PERCENT,
    TO_15_KG,
    UP_TO_TENTHS,
    count_not_read,
    from_memory,
    noted,
)
from shedgrade.domain.trays.net_weight.rules import (
    AveragePlan,
    AverageRow,
    Deficiency,
    Form,
    Rounding,
    RuleSet,
    ShortPlan,
    ShortRow,
    WeighingShare,
)

EU_PACKER = RuleSet(
    "eu-packer",
    "EU, the packer's three rules",
    Deficiency(
        TO_15_KG[:-1],
        from_memory(DIRECTIVE, "read up to 1 kg; above that, and that it ends at 10 kg, from memory", "Annex I, 2.4"),
        from_g=5,
    ),
    Rounding(UP_TO_TENTHS, from_memory(DIRECTIVE, "up to the next tenth of a gram, from memory", "Annex I")),
    count_not_read(DIRECTIVE),
    AveragePlan(
        (AverageRow(1, None, None, Fraction(0)),),
        Form.MEAN,
        noted(DIRECTIVE, "of the whole lot, so there is no factor"),
        DIRECTIVE,
    ),
    ShortPlan(
        (ShortRow(1, None, None, Fraction(5, 2) * PERCENT),),
        from_memory(
            DIRECTIVE,
            "the directive says only that there must be few; 2.5 % is from memory, and a British trading "
            "standards page gives it as what is usual",
        ),
    ),
    DIRECTIVE,
    WeighingShare(
        Fraction(1, 5),
        Source(
            "WELMEC guide 6.9",
            "2009",
            "",
            Mark.SECOND_HAND,
            "on checks under Directive 76/211/EEC",
            "https://www.welmec.org/documents/guides/69/?L=0",
        ),
    ),
)
