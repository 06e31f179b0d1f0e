"""What is said at the packer's scale, and at the table where fruit are counted into a tray."""

from fractions import Fraction

from shedgrade.domain.trays.net_weight.at_scale import ScaleFit, TrayMarks
from shedgrade.domain.trays.net_weight.label import Label, LabelledBy
from shedgrade.domain.trays.net_weight.rules import RuleSet
from shedgrade.domain.trays.net_weight.tolerable import tolerable_deficiency
from shedgrade.domain.trays.net_weight.words import say_from_memory, t_sources
from shedgrade.domain.units import Exact, digits


def say_tray(net_g: Exact, marks: TrayMarks) -> str:
    """One tray: "UNDER, 120 g less than the label"."""
    off = Fraction(net_g) - marks.label_g
    much = f"{Label(marks.label_g).say(abs(off))} {'more' if off > 0 else 'less'} than the label"
    said = f"{marks.word(net_g)}, {much if off else 'just the label'}"
    return f"{said}: it must not leave as it is" if marks.must_not_leave(net_g) else said


def say_scale(fit: ScaleFit, rules: RuleSet) -> str:
    """Whether a scale is fine enough for a label, and what it may be off."""
    label = fit.label
    if fit.most_g is None:
        return f"What a scale may be off for a label of {label.says()} is not known here by {rules.name}."
    share = f"{rules.weighing.share.numerator}/{rules.weighing.share.denominator}"
    most = f"for {label.says()} it may be off by {label.say(fit.most_g, 2)} at most, {share} of T"
    memory = say_from_memory(("the share", rules.weighing.source), *t_sources(rules, label.by))
    if fit.step_too_coarse:
        return f"The scale's step of {label.say(fit.step_g, 2)} is too coarse: {most}.{memory}"
    if fit.error_too_large:
        return f"The scale's error of {label.say(abs(fit.error_g), 2)} is too large: {most}.{memory}"
    return f"The scale is fine enough: {most}.{memory}"


def say_count(counted: int, label: Label, rules: RuleSet) -> str:
    """A pack labelled by count, as it was counted; ValueError for a label by weight."""
    if label.by is not LabelledBy.COUNT:
        raise ValueError("a tray labelled by weight is weighed, not counted")
    said = f"{label.say(counted)} for a label of {label.says()}"
    missing = label.figure - counted
    if missing <= 0:
        return f"{said}: none is missing."
    t = tolerable_deficiency(label, rules)
    if t is None:
        return f"{said}: {digits(missing)} missing; what {rules.name} allows is not known here."
    allowed = f"up to {digits(t)} may be" if t else "none may be"
    return f"{said}: {digits(missing)} missing, {allowed}.{say_from_memory(*t_sources(rules, label.by))}"
