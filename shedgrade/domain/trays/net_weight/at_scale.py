"""One word for a tray on the packer's scale, and whether the scale is fine enough to say it."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain.trays.net_weight.label import Label, LabelledBy
from shedgrade.domain.trays.net_weight.rules import RuleSet
from shedgrade.domain.trays.net_weight.tolerable import tolerable_deficiency
from shedgrade.domain.units import Exact


class Word(StrEnum):
    """What stands on the packer's screen."""

    OVER = "OVER"
    RIGHT = "RIGHT"
    UNDER = "UNDER"


@dataclass(frozen=True, slots=True)
class TrayMarks:
    """The lightest and the heaviest net weight that is RIGHT, both included, in grams. Below ``never_g`` (None: not
    known) a tray is short by more than 2 × T and must not leave as it is."""

    label_g: int
    least_g: Fraction
    most_g: Fraction
    never_g: Fraction | None

    def word(self, net_g: Exact) -> Word:
        """The word for a tray of this net weight, drying taken off."""
        if net_g < self.least_g:
            return Word.UNDER
        return Word.OVER if net_g > self.most_g else Word.RIGHT

    def must_not_leave(self, net_g: Exact) -> bool:
        """Whether it is short by more than 2 × T."""
        return self.never_g is not None and net_g < self.never_g


def tray_marks(label: Label, over_g: int, rules: RuleSet, *, never_short: bool) -> TrayMarks:
    """The marks of a tray labelled by weight, where ``over_g`` above the label is still RIGHT.

    ``never_short``: the shed lets no tray go out below its label; otherwise one short by up to T is RIGHT. Where the
    set gives no T, nothing below the label is. ValueError for a label by count, or an upper mark below the label.
    """
    if label.by is not LabelledBy.WEIGHT:
        raise ValueError("a tray labelled by count is counted, not weighed")
    if over_g < 0:
        raise ValueError("the upper mark is 0 g or more above the label")
    t = tolerable_deficiency(label, rules)
    least = Fraction(label.figure) if never_short or t is None else label.figure - t
    return TrayMarks(label.figure, least, Fraction(label.figure + over_g), None if t is None else label.figure - 2 * t)


@dataclass(frozen=True, slots=True)
class ScaleFit:
    """What a scale may be off for a label (``most_g``, None: not known), its step, and the error last found on it."""

    label: Label
    most_g: Fraction | None
    step_g: Fraction
    error_g: Fraction

    @property
    def step_too_coarse(self) -> bool | None:
        """Whether one step alone is more than that; None where nobody knows."""
        return None if self.most_g is None else self.step_g > self.most_g

    @property
    def error_too_large(self) -> bool | None:
        """Whether the error found is more than that, too much or too little; None where nobody knows."""
        return None if self.most_g is None else abs(self.error_g) > self.most_g


def scale_fit(label: Label, rules: RuleSet, step_g: Exact, error_g: Exact = 0) -> ScaleFit:
    """Whether a scale of this step and error is fine enough for the label; ValueError for a step of nothing."""
    if step_g <= 0:
        raise ValueError("the step of a scale is over 0 g")
    t = tolerable_deficiency(label, rules) if label.by is LabelledBy.WEIGHT else None
    most = None if t is None else t * rules.weighing.share
    return ScaleFit(label, most, Fraction(step_g), Fraction(error_g))
