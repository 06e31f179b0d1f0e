"""United States: NIST Handbook 133, category A, from memory."""

from fractions import Fraction

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.trays.net_weight.rule_sets.shared import NORTHERN_IRELAND, count_not_read, from_memory, noted
from shedgrade.domain.trays.net_weight.rules import (
    AveragePlan,
    AverageRow,
    Deficiency,
    Form,
    Rounding,
    RuleSet,
    ShortPlan,
    WeighingShare,
)

_HANDBOOK = Source("NIST Handbook 133", "", "", Mark.FROM_MEMORY)


_SMALL_LOTS = ("8.9846", "2.4841", "1.5912", "1.2417", "1.0494", "0.9248", "0.8360", "0.7687", "0.7154", "0.6718")

US_HANDBOOK_133 = RuleSet(
    "us-handbook-133",
    "US Handbook 133, category A",
    Deficiency(
        (),
        from_memory(
            _HANDBOOK,
            "it has no T but a table of largest allowed shortages (MAV), which is not known here: no "
            "tray is judged singly by it",
        ),
    ),
    Rounding((), from_memory(_HANDBOOK, "no T to round")),
    count_not_read(_HANDBOOK),
    AveragePlan(
        (
            *(AverageRow(lot, lot, None, Fraction(factor)) for lot, factor in enumerate(_SMALL_LOTS, start=2)),
            AverageRow(12, 250, 12, Fraction("0.635")),
            AverageRow(251, 3_200, 24, Fraction("0.422")),
            AverageRow(3_201, None, 48, Fraction("0.291")),
        ),
        Form.LIMIT,
        from_memory(_HANDBOOK, "the factors of lots of 2 to 11 are worked out by the formula that gives the others"),
        from_memory(_HANDBOOK, "the lot fails if its mean error is below 0 by more than factor × s"),
    ),
    ShortPlan(
        (), from_memory(_HANDBOOK, "it counts trays beyond its table of largest allowed shortages, not known here")
    ),
    from_memory(_HANDBOOK, "it has no rule of 2 × T"),
    WeighingShare(
        Fraction(1, 5),
        noted(
            NORTHERN_IRELAND,
            "of another country; without the table of largest allowed shortages it says nothing",
            Mark.INFERRED,
        ),
    ),
)
