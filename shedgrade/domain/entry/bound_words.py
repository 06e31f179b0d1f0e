"""The words that people put before and behind the figures of a bound, and the units they write."""

import re
from fractions import Fraction

from shedgrade.domain.bound import Unit

NONE = {"nil", "none", "nothing", "none allowed", "not allowed", "none at all", "zero"}
ANY = {"any", "any amount", "any amount allowed", "anything", "no limit", "no limits", "unlimited", "no rule"}
DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe63\uff0d"), "-")

# What stands before a figure, and what behind it. Longer ones first, so that none is read by its beginning.
_BEFORE = {
    "<=": "<= ≤ =< ⩽ at most|up to and including|up to|not exceeding|not over|not above|not more than|no more than|no"
    " larger than|not larger than|no heavier than|no longer than|less than or equal to|maximum of|maximum|max. of|max.|"
    "max|until",
    ">=": ">= ≥ => ⩾ at least|not under|not below|not less than|no less than|no smaller than|not smaller than|no"
    " lighter than|more than or equal to|greater than or equal to|minimum of|minimum|min. of|min.|min|from|starting at|"
    "between",
    "<": "< up to but not including|less than|fewer than|smaller than|lighter than|shorter than|under|below",
    ">": "> more than|greater than|larger than|bigger than|heavier than|longer than|exceeding|over|above",
}
_BEHIND = {
    "<=": "or less|or fewer|or under|or below|or smaller|or lighter|and less|and under|and below|and smaller|at most|"
    "maximum|max.|max",
    ">=": "or more|or over|or above|or larger|or bigger|or heavier|and more|and over|and above|and up|and larger|and "
    "heavier|upwards|at least|minimum|min.|min|+",
}


def _phrases(said: dict[str, str]) -> dict[str, str]:
    """Each phrase with its sign; the signs themselves stand before the first word, parted by spaces."""
    found: dict[str, str] = {}
    for sign, text in said.items():
        signs = re.match(r"(?:[^a-z|+]+ )?", text)
        end = signs.end() if signs else 0
        found |= dict.fromkeys([*text[:end].split(), *text[end:].split("|")], sign)
    return found


SIGNS, SIGNS_BEHIND = _phrases(_BEFORE), _phrases(_BEHIND)
ABOUT = {"about", "around", "approximately", "approx.", "approx", "circa", "ca.", "ca", "roughly", "~", "nearly"}
UNITS = (
    (r"g|gr|grams?|grammes?", Unit.GRAM, Fraction(1)),
    (r"kg|kilos?|kilograms?|kilogrammes?", Unit.GRAM, Fraction(1000)),
    (r"cm ?\^? ?2|sq\.? ?cm|square (?:cm|centimet(?:re|er)s?)", Unit.CM2, Fraction(1)),
    (r"mm ?\^? ?2|sq\.? ?mm|square (?:mm|millimet(?:re|er)s?)", Unit.CM2, Fraction(1, 100)),
    (r"%|per ?cent|pct", Unit.PERCENT, Fraction(1)),
    (r"mm|millimet(?:re|er)s?", Unit.MM, Fraction(1)),
    (r"cm|centimet(?:re|er)s?", Unit.MM, Fraction(10)),
    (r"° ?brix|° ?bx|brix|bx|degrees? brix", Unit.BRIX, Fraction(1)),
    (r"fruits?|pieces?|places?|spots?|steps?|stages?|marks?|sizes?|faults?|kinds?", Unit.NUMBER, Fraction(1)),
)
