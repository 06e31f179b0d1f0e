"""United Kingdom: SI 2006/659. Contents and mean have samples of their own; packs that are opened, a third plan."""

from fractions import Fraction

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.trays.net_weight.rule_sets.shared import (
    NORTHERN_IRELAND,
    PERCENT,
    TO_15_KG,
    UP_TO_TENTHS,
    count_not_read,
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
    WeighingShare,
)

_UK_AVERAGE = Source(
    "United Kingdom, SI 2006/659",
    "2006",
    "Schedule 2, 4",
    Mark.READ,
    address="http://www.legislation.gov.uk/uksi/2006/659/schedule/2/paragraph/4/made",
)
_UK_CONTENTS = Source(
    "United Kingdom, SI 2006/659",
    "2006",
    "Schedule 2, 3",
    Mark.READ,
    "the plan with one sample; the text also has one with two, which is left out here",
    "http://www.legislation.gov.uk/cy/uksi/2006/659/schedule/2/paragraph/3/made",
)
_UK_GUIDE = Source(
    "Weights and measures: the law, packaged goods",
    "United Kingdom, government guidance",
    "",
    Mark.SECOND_HAND,
    address="https://gov.uk/weights-measures-and-packaging-the-law/packaged-goods",
)


_UK_DEFICIENCY = Deficiency(
    (*TO_15_KG, Band(25_000, share=PERCENT)),
    noted(_UK_GUIDE, "the guidance repeats the table and names packs of 5 g to 25 kg", Mark.SECOND_HAND),
    from_g=5,
)
_UK_ROUNDING = Rounding(UP_TO_TENTHS, noted(_UK_GUIDE, "up to the next tenth of a gram", Mark.SECOND_HAND))
_UK_TWICE = noted(_UK_GUIDE, "the third packers' rule", Mark.SECOND_HAND)
_UK_WEIGHING = WeighingShare(Fraction(1, 5), noted(NORTHERN_IRELAND, "Northern Ireland's text of the same rules"))

UNITED_KINGDOM_2006 = RuleSet(
    "united-kingdom-2006",
    "United Kingdom 2006",
    _UK_DEFICIENCY,
    _UK_ROUNDING,
    count_not_read(_UK_CONTENTS),
    AveragePlan(
        (
            AverageRow(1, 99, None, Fraction(0)),
            AverageRow(100, 500, 30, Fraction("0.503")),
            AverageRow(501, None, 50, Fraction("0.379")),
        ),
        Form.MEAN,
        _UK_AVERAGE,
        _UK_AVERAGE,
    ),
    ShortPlan(
        (
            ShortRow(1, 99, None, 5 * PERCENT),
            ShortRow(100, 500, 50, 3),
            ShortRow(501, 3_200, 80, 5),
            ShortRow(3_201, None, 125, 7),
        ),
        _UK_CONTENTS,
    ),
    _UK_TWICE,
    _UK_WEIGHING,
)

UNITED_KINGDOM_2006_OPENED = RuleSet(
    "united-kingdom-2006-opened",
    "United Kingdom 2006, packs opened to be weighed",
    _UK_DEFICIENCY,
    _UK_ROUNDING,
    count_not_read(_UK_CONTENTS),
    AveragePlan((AverageRow(100, None, 20, Fraction("0.640")),), Form.MEAN, _UK_AVERAGE, _UK_AVERAGE),
    ShortPlan(
        (ShortRow(100, None, 20, 1),),
        Source(
            "EU, Directive 76/211/EEC",
            "1976",
            "Annex II, 2.2.2",
            Mark.INFERRED,
            "read in the directive that the British rules carried out, not in them",
            "http://legislation.gov.uk/eudr/1976/211/annex/II/division/2/division/2.2/division/2.2.2/data.xht",
        ),
    ),
    _UK_TWICE,
    _UK_WEIGHING,
)
