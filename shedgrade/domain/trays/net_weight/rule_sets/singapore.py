"""Singapore: only the form of its tests was read, so that it has no plan here."""

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.trays.net_weight.rule_sets.shared import (
    FIFTH_ELSEWHERE,
    FORM_NOTE,
    PERCENT,
    TO_15_KG,
    count_not_read,
    from_memory,
    noted,
)
from shedgrade.domain.trays.net_weight.rules import AveragePlan, Band, Deficiency, Form, Rounding, RuleSet, ShortPlan

_SG = Source(
    "Singapore, Weights and Measures (Defences under Section 19) Regulations",
    "2022",
    "4",
    Mark.READ,
    address="https://laws.sg/legislation/sub-leg-1975-wma-s894-2022/reg-4",
)
_SG_ACT = Source(
    "Singapore, Weights and Measures Act",
    "as amended 2005",
    "2",
    Mark.READ,
    address="https://laws.sg/legislation/bill-2005-20/clause-2",
)


SINGAPORE_2022 = RuleSet(
    "singapore-2022",
    "Singapore 2022",
    Deficiency(
        (*TO_15_KG, Band(None, share=PERCENT)), from_memory(_SG, "not read in its text; the values of OIML R 87")
    ),
    Rounding((), noted(_SG, "nothing was read on rounding, so T is not rounded", Mark.OUR_READING)),
    count_not_read(_SG),
    AveragePlan(
        (),
        Form.ERROR,
        from_memory(_SG, "its table could not be read"),
        from_memory(_SG, FORM_NOTE, "4"),
    ),
    ShortPlan(
        (),
        from_memory(
            _SG,
            "its table could not be read; an example beside it takes 35 of a lot of 120, and 50 in all if one is short",
            "Second Schedule",
        ),
    ),
    _SG_ACT,
    FIFTH_ELSEWHERE,
)
