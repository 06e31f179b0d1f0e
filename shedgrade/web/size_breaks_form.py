"""What is asked of size breaks: the tray and class, the rule that trays keep, the sizer, and what a day brings."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from shedgrade.domain import entry
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.breaks import Packing, Sizer
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.fill_rule import FillRule, average_quantity, few_short, never_short
from shedgrade.domain.trays.net_weight.label import Label
from shedgrade.domain.trays.net_weight.rule_sets import AUSTRALIA_2009, RULE_SETS
from shedgrade.domain.trays.net_weight.tolerable import tolerable_deficiency
from shedgrade.domain.trays.sizer_error import LEAST_PAIRS, error_dg
from shedgrade.domain.units import BP, DG_PER_G
from shedgrade.storage.markets import Prices
from shedgrade.web.answers import Answers

AVERAGE, FEW, NEVER = "average", "few", "never"
RULES = (
    (AVERAGE, "Right on average"),
    (FEW, "Few short"),
    (NEVER, "Never short"),
)
GIVEN_AWAY, MONEY = "giveaway", "money"
ALL_CLASSES = "all"
DEFAULTS = {
    "rule": AVERAGE,
    "text": AUSTRALIA_2009.id,
    "most": "2 %",
    "step": "1",
    "error": "0",
    "drying": "0",
    "day": "10000",
    "pairs": "",
    "aim": GIVEN_AWAY,
}
_MOST_STEP_DG, _MOST_ERROR_DG = 500, 500
_HEAVIEST_DG = 100_000
_MOST_DAY_G = 1_000_000_000
_MOST_DRYING = Fraction(1, 5)
_NOUGHT = {"0", "0 %", "0%", ""}


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked for: the packing, of which classes, for so much fruit a day. ``found_error_dg`` is the sizer's
    error where it was found from fruit weighed twice."""

    tray: TrayType
    class_ids: frozenset[str]
    packing: Packing
    day_g: int | None
    in_money: bool
    found_error_dg: int | None = None


def texts_with_tolerance() -> list[tuple[str, str]]:
    """The texts that say how much a tray may be short, by id and name."""
    return [
        (rules.id, rules.name) for rules in RULE_SETS.values() if tolerable_deficiency(Label(1_000), rules) is not None
    ]


def class_options(spec: Spec) -> list[tuple[str, str]]:
    """The classes, and all of them together."""
    return [*((each.id, each.name) for each in spec.classes), (ALL_CLASSES, "All classes together")]


def read_asked(answers: Answers, spec: Spec, trays: Mapping[str, TrayType], prices: Prices | None) -> Asked | None:
    """What was asked, or None with the mistakes beside their fields."""
    tray = answers.choice("tray", trays)
    class_id = answers.choice("class", {key: key for key, _ in class_options(spec)})
    step_dg = answers.read("step", lambda text: _grams(text, most_dg=_MOST_STEP_DG))
    error = answers.read("error", _error)
    found = answers.read("pairs", _error_of_pairs, needed=False)
    drying = answers.read("drying", _drying)
    day_g = answers.read("day", lambda text: entry.mass(text, most_g=_MOST_DAY_G), needed=False)
    aim = answers.choice("aim", {GIVEN_AWAY: GIVEN_AWAY, MONEY: MONEY})
    rule = _rule(answers, tray)
    if aim == MONEY and (prices is None or class_id == ALL_CLASSES):
        answers.refuse("aim", "Prices go by class and list: choose one class, of a market that has a price list.")
    if not answers.fine or tray is None or class_id is None or rule is None or step_dg is None or error is None:
        return None
    in_money = prices is not None and class_id != ALL_CLASSES and aim == MONEY
    by_count = _prices(prices, tray, class_id) if prices is not None and in_money else None
    packing = Packing.of(tray, rule, Sizer(step_dg, error if found is None else found), by_count)
    classes = frozenset(each.id for each in spec.classes) if class_id == ALL_CLASSES else frozenset({class_id})
    return Asked(tray, classes, replace(packing, drying=drying or Fraction(0)), day_g, in_money, found)


def _rule(answers: Answers, tray: TrayType | None) -> FillRule | None:
    match answers.choice("rule", {key: key for key, _ in RULES}):
        case "average":
            text = answers.choice("text", {key: RULE_SETS[key] for key, _ in texts_with_tolerance()})
            if text is None or tray is None:
                return None
            tolerable_g = tolerable_deficiency(Label(tray.net_g), text)
            if tolerable_g is None:
                answers.refuse(
                    "text", f"This text says nothing of trays of {Label(tray.net_g).says()}. Choose another."
                )
                return None
            return average_quantity(tolerable_g)
        case "few":
            most_bp = answers.read("most", entry.share)
            return None if most_bp is None else few_short(Fraction(most_bp, BP))
        case "never":
            return never_short()
        case _:
            return None


def _grams(text: str, *, most_dg: int) -> int:
    """A step of the sizer in decigrams."""
    return entry.weight(text, lightest_dg=DG_PER_G, heaviest_dg=most_dg, fruit_name="step")


def _error(text: str) -> int:
    return 0 if text in _NOUGHT else entry.weight(text, lightest_dg=1, heaviest_dg=_MOST_ERROR_DG, fruit_name="error")


def _error_of_pairs(text: str) -> int:
    """The error from two readings a fruit, one fruit a line."""
    pairs = [_pair(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(pairs) < LEAST_PAIRS:
        raise ValueError(f"{len(pairs)} fruit are there. At least {LEAST_PAIRS}, weighed twice each, are accepted.")
    return error_dg(pairs)


def _pair(number: int, line: str) -> tuple[int, int]:
    words = line.replace(";", " ").split()
    if len(words) != 2:  # noqa: PLR2004 - a pair
        raise ValueError(f"Line {number}: “{line.strip()}”. Two weights are accepted, such as 412.3 411.8.")
    try:
        one, two = (entry.weight(word, lightest_dg=1, heaviest_dg=_HEAVIEST_DG, fruit_name="fruit") for word in words)
    except ValueError as mistake:
        raise ValueError(f"Line {number}: {mistake}") from mistake
    return one, two


def _drying(text: str) -> Fraction:
    drying = Fraction(0) if text in _NOUGHT else Fraction(entry.share(text), BP)
    if drying > _MOST_DRYING:
        raise ValueError("Fruit lose a share of their weight: from 0 to 20 % is accepted.")
    return drying


def _prices(prices: Prices, tray: TrayType, class_id: str) -> dict[int, int]:
    return {
        count: minor
        for (tray_id, of_class, count), minor in prices.tray_minor.items()
        if tray_id == int(tray.id) and of_class == class_id
    }
