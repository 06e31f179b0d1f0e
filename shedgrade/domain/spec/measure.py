"""What a limit looks at, and how a figure is got from it."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain.bound import Unit

WEIGHT = "weight"
COLOUR_STAGE = "colour stage"
SIZE_CODE = "size code"
OWN_WORDS = (WEIGHT, COLOUR_STAGE, SIZE_CODE)
"""What every fruit has, whatever its crop; no kind, measure or severity may carry these names."""

LABEL_SIZE = "label size"
"""What a spread may be taken among: the fruit that have the size code on the label."""


class Take(StrEnum):
    """How a figure is got. Each way is one function of the grader."""

    VALUE = "value"
    """The weight, the number of the colour stage, or one measure of the crop."""
    SUM = "sum"
    """The named kinds added up by area, share or length; or several measures of the crop added up."""
    LARGEST = "largest"
    """The largest single mark of the named kinds, by area, share or length."""
    PLACES = "places"
    """In how many places the named kinds are; a mark that says no number is one place."""
    PRESENT = "present"
    """How many of the named kinds are there."""
    RATIO = "ratio"
    """The first of two measures divided by the second: a shape, sugar to acid."""
    SEVERITY = "severity"
    """The number of the step on a severity of the spec; 0 when nothing is there."""
    CODES = "codes"
    """How many size codes the fruit falls in."""
    SPREAD = "spread"
    """In one package, the largest figure less the smallest; for limits of a package only."""


class By(StrEnum):
    """What is added up, or what the largest is the largest of."""

    AREA = "area"
    SHARE = "share"
    LENGTH = "length"

    @property
    def unit(self) -> Unit:
        """The unit of such a figure."""
        return {By.AREA: Unit.CM2, By.SHARE: Unit.PERCENT, By.LENGTH: Unit.MM}[self]


@dataclass(frozen=True, slots=True)
class Reference:
    """The fruit an area is scaled to: "as on a fruit of 63.5 mm diameter". ``of`` is WEIGHT or a measure in mm;
    ``size`` is in base units. On a fruit twice as wide four times the area counts as much."""

    of: str
    size: Fraction


@dataclass(frozen=True, slots=True)
class Measure:
    """What is looked at. ``of`` holds defect kinds, measures of the crop, one severity, or one of OWN_WORDS.

    ``states`` narrows marks to those in one of these states. ``unit`` is filled in for measures of the crop, whose
    unit stands in the crop file; everything else knows its own. ``of_label_size`` narrows a spread to the fruit that
    have the size code on the label.
    """

    of: tuple[str, ...]
    take: Take
    by: By | None = None
    states: tuple[str, ...] = ()
    as_on: Reference | None = None
    of_label_size: bool = False
    crop_unit: Unit | None = None

    @property
    def kinds(self) -> tuple[str, ...]:
        """The defect kinds it needs somebody to have looked for."""
        marks = self.take in (Take.SUM, Take.LARGEST) and self.by is not None
        return self.of if marks or self.take in (Take.PRESENT, Take.PLACES) else ()

    @property
    def is_of_faults(self) -> bool:
        """Whether it is the better the less there is of it: marks, a severity, how much fruit of a package differ."""
        return bool(self.kinds) or self.take in (Take.SEVERITY, Take.SPREAD)

    @property
    def unit(self) -> Unit:
        """The unit its figure is said in."""
        if self.by is not None:
            return self.by.unit
        if self.take in (Take.VALUE, Take.SPREAD) and self.of == (WEIGHT,):
            return Unit.GRAM
        return self.crop_unit if self.crop_unit is not None and self.take is not Take.RATIO else Unit.NUMBER

    @property
    def units(self) -> tuple[Unit, ...]:
        """The units a bound on this measure may be written in."""
        return _WRITTEN_IN.get(self.unit, (self.unit,)) if self.take is not Take.RATIO else (Unit.NUMBER, Unit.PERCENT)


_WRITTEN_IN = {
    Unit.CM2: (Unit.CM2, Unit.CIRCLES),
    Unit.PERCENT: (Unit.PERCENT, Unit.NUMBER),
}
