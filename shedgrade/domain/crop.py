"""A crop: the kind of fruit, its defect kinds and how each is measured, its colour stages, its weights."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.source import Source
from shedgrade.domain.units import BP, HUNDREDTHS


class Measured(StrEnum):
    """How a defect kind is measured at the bench."""

    AREA = "area"
    SHARE = "share"
    LENGTH = "length"
    PLACES = "places"
    PRESENT = "present"

    @property
    def says(self) -> str:
        """The measuring as a person reads it."""
        return _MEASURED_SAYS[self]


_MEASURED_SAYS = {
    Measured.AREA: "by area, cm²",
    Measured.SHARE: "by share of the surface, %",
    Measured.LENGTH: "by length, mm",
    Measured.PLACES: "by how many places it is in",
    Measured.PRESENT: "there or not",
}


class TakenOn(StrEnum):
    """What a measure of the crop is taken on."""

    FRUIT = "fruit"
    SAMPLE = "sample"
    """A maturity test of some fruit of the load; their mean speaks for the load."""
    LOAD = "load"


@dataclass(frozen=True, slots=True)
class CropMeasure:
    """A figure of the crop beside weight and colour stage: a diameter, dry matter, Brix, stalk length.

    Figures are kept as whole numbers: mm in tenths, Brix and plain numbers in hundredths, shares in basis points,
    g in tenths, cm2 in mm². ``plausible`` bounds the figure in base units: outside it a slip of the hand.
    """

    id: str
    name: str
    unit: Unit
    on: TakenOn
    plausible: Bound
    source: Source

    def base(self, stored: int) -> Fraction:
        """The stored whole number in the base unit that bounds are written in."""
        return Fraction(stored, self.per_base)

    @property
    def per_base(self) -> int:
        """How many of the stored whole numbers make one base unit."""
        return {Unit.PERCENT: BP, Unit.NUMBER: HUNDREDTHS}.get(self.unit, 1)


@dataclass(frozen=True, slots=True)
class DefectKind:
    """One kind of fault of the fruit; ``group`` is where it comes from (field, harvest, rot ...). ``states`` are what
    else a mark of it can be: progressive, into flesh, necrotic."""

    id: str
    name: str
    group: str
    measure: Measured
    source: Source
    states: tuple[str, ...] = ()

    @property
    def note(self) -> str:
        """What belongs to the kind and what does not, in a few words; may be empty."""
        return self.source.note


@dataclass(frozen=True, slots=True)
class ColourStage:
    """One step on the fruit's colour scale."""

    number: int
    name: str
    description: str
    source: Source


@dataclass(frozen=True, slots=True)
class Crop:
    """What is known of a fruit apart from any spec, so that the same fruit can be judged under any spec of it.

    ``plausible`` bounds the weight of one fruit in decigrams: a weight outside it is a slip of the hand.
    """

    id: str
    name: str
    kinds: tuple[DefectKind, ...]
    stages: tuple[ColourStage, ...]
    plausible: Bound
    varieties: tuple[str, ...]
    source: Source
    measures: tuple[CropMeasure, ...] = ()

    def measure(self, measure_id: str) -> CropMeasure:
        """The measure of that id; KeyError when the crop has none."""
        for measure in self.measures:
            if measure.id == measure_id:
                return measure
        raise KeyError(measure_id)

    def kind(self, kind_id: str) -> DefectKind:
        """The defect kind of that id; KeyError when the crop has none."""
        for kind in self.kinds:
            if kind.id == kind_id:
                return kind
        raise KeyError(kind_id)

    def stage(self, number: int) -> ColourStage:
        """The colour stage of that number; KeyError when the crop has none."""
        for stage in self.stages:
            if stage.number == number:
                return stage
        raise KeyError(number)

    @property
    def groups(self) -> tuple[str, ...]:
        """The groups of the defect kinds, each once, in file order."""
        return tuple(dict.fromkeys(kind.group for kind in self.kinds))

    @property
    def lightest_dg(self) -> int:
        """The least plausible weight of one fruit."""
        return self.plausible.whole()[0] or 1

    @property
    def heaviest_dg(self) -> int | None:
        """The greatest plausible weight of one fruit, None when the crop names none."""
        return self.plausible.whole()[1]
