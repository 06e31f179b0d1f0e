"""T, what a single pack may be short of its label, exact: whole numbers and fractions, never floating point."""

from fractions import Fraction
from math import ceil

from shedgrade.domain.trays.net_weight.label import Label, LabelledBy
from shedgrade.domain.trays.net_weight.rules import Band, RuleSet


def tolerable_deficiency(label: Label, rules: RuleSet) -> Fraction | None:
    """T in the label's unit, grams or fruit, rounded as the set says; None where the set gives none for this label."""
    return _by_count(label.figure, rules) if label.by is LabelledBy.COUNT else _by_weight(label.figure, rules)


def _by_weight(label_g: int, rules: RuleSet) -> Fraction | None:
    band = next((each for each in rules.deficiency.bands if _reaches(each.up_to_g, label_g)), None)
    if band is None or label_g < rules.deficiency.from_g:
        return None
    return _rounded(_unrounded(band, label_g), label_g, rules)


def _by_count(items: int, rules: RuleSet) -> Fraction | None:
    counts = rules.counts
    if counts.never_up_to is None or counts.share is None:
        return None
    return Fraction(0) if items <= counts.never_up_to else Fraction(ceil(counts.share * items))


def _unrounded(band: Band, label_g: int) -> Fraction:
    return band.grams if band.share is None else band.share * label_g


def _rounded(exact_g: Fraction, label_g: int, rules: RuleSet) -> Fraction:
    step = next((each.step_g for each in rules.rounding.steps if _reaches(each.up_to_g, label_g)), None)
    return exact_g if step is None else ceil(exact_g / step) * step


def _reaches(up_to_g: int | None, label_g: int) -> bool:
    return up_to_g is None or label_g <= up_to_g
