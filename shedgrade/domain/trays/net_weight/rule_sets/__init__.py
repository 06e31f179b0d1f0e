"""The built-in sets of rules, each part with its source and how well it is known.

The factors are those printed. They are Student's t at n - 1 degrees of freedom over the square root of n, at 0.995
(Handbook 133: 0.975); New Zealand's are smaller by the square root of 1 - n/N, N being the largest lot of the row.
"""

from shedgrade.domain.trays.net_weight.rule_sets.australia import AUSTRALIA_2009
from shedgrade.domain.trays.net_weight.rule_sets.eu_packer import EU_PACKER
from shedgrade.domain.trays.net_weight.rule_sets.handbook_133 import US_HANDBOOK_133
from shedgrade.domain.trays.net_weight.rule_sets.new_zealand import NEW_ZEALAND_1999
from shedgrade.domain.trays.net_weight.rule_sets.singapore import SINGAPORE_2022
from shedgrade.domain.trays.net_weight.rule_sets.united_kingdom import UNITED_KINGDOM_2006, UNITED_KINGDOM_2006_OPENED
from shedgrade.domain.trays.net_weight.rules import RuleSet

__all__ = [
    "AUSTRALIA_2009",
    "EU_PACKER",
    "NEW_ZEALAND_1999",
    "RULE_SETS",
    "SINGAPORE_2022",
    "UNITED_KINGDOM_2006",
    "UNITED_KINGDOM_2006_OPENED",
    "US_HANDBOOK_133",
]

RULE_SETS: dict[str, RuleSet] = {
    rules.id: rules
    for rules in (
        AUSTRALIA_2009,
        NEW_ZEALAND_1999,
        SINGAPORE_2022,
        UNITED_KINGDOM_2006,
        UNITED_KINGDOM_2006_OPENED,
        US_HANDBOOK_133,
        EU_PACKER,
    )
}
"""By id, the order in which they are offered."""
