"""What a spec is: classes, best first; a size scale; limits; outlets. All of it data, each part with its source.

A limit says what is measured and, row by row, how much is allowed. The first row that fits the class and the
size decides; where none fits there is no rule. The same letter means different weights in different standards,
so a size code means nothing without its spec.
"""

from dataclasses import dataclass
from enum import StrEnum

from shedgrade.domain import units
from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.crop import Crop
from shedgrade.domain.source import Source

WEIGHT = "weight"
COLOUR_STAGE = "colour stage"
SIZE_CODE = "size code"

TOO_LIGHT = "too light"
TOO_HEAVY = "too heavy"
NO_CLASS = "no class"


class Take(StrEnum):
    """How a figure is got from a fruit. Each way is one function of the grader."""

    VALUE = "value"
    """The weight, or the number of the colour stage."""
    SUM = "sum"
    """The named kinds added up, by area or by share of the surface."""
    PRESENT = "present"
    """How many of the named kinds are there."""
    CODES = "codes"
    """How many size codes the weight falls in."""


class By(StrEnum):
    """What a sum is a sum of."""

    AREA = "area"
    SHARE = "share"


class Rounding(StrEnum):
    """What a size table does to a weight before the look-up; the stored weight stays as it was."""

    NONE = "none"
    HALF_UP_TO_THE_GRAM = "half up to the gram"


@dataclass(frozen=True, slots=True)
class GradeClass:
    """A quality level of the spec."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class Measure:
    """What a limit looks at: ``of`` holds defect kind ids, or the one word WEIGHT, COLOUR_STAGE or SIZE_CODE."""

    of: tuple[str, ...]
    take: Take
    by: By | None = None

    @property
    def kinds(self) -> tuple[str, ...]:
        """The defect kinds it needs somebody to have looked for."""
        return self.of if self.take in (Take.SUM, Take.PRESENT) else ()

    @property
    def units(self) -> tuple[Unit, ...]:
        """The units a bound on this measure may be written in."""
        if self.take is Take.SUM:
            return (Unit.CM2,) if self.by is By.AREA else (Unit.PERCENT, Unit.NUMBER)
        return (Unit.GRAM,) if self.of == (WEIGHT,) else (Unit.NUMBER,)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a limit's table: for which classes and sizes (empty means all), up to how much."""

    to: Bound
    source: Source
    classes: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()

    def fits(self, class_id: str, size: str | None) -> bool:
        """Whether the row speaks of this class and this size; a fruit without a size code fits no size."""
        return (not self.classes or class_id in self.classes) and (not self.sizes or size in self.sizes)


@dataclass(frozen=True, slots=True)
class Limit:
    """One rule of the spec: what is measured, and the table of how much is allowed."""

    id: str
    name: str
    measure: Measure
    rows: tuple[Row, ...]
    source: Source

    def row_for(self, class_id: str, size: str | None) -> Row | None:
        """The row that decides for a class and a size code; None when there is no rule."""
        return next((row for row in self.rows if row.fits(class_id, size)), None)


@dataclass(frozen=True, slots=True)
class Band:
    """One size code and the weights it holds."""

    name: str
    to: Bound
    source: Source


@dataclass(frozen=True, slots=True)
class Scale:
    """The size table, by weight. Bands may overlap or leave gaps; a weight has none, one or several codes."""

    bands: tuple[Band, ...]
    rounding: Rounding
    source: Source

    def codes(self, weight_dg: int) -> tuple[str, ...]:
        """The size codes of a weight, in file order."""
        weight = units.whole_grams(weight_dg) if self.rounding is Rounding.HALF_UP_TO_THE_GRAM else weight_dg
        return tuple(band.name for band in self.bands if band.to.allows(weight))

    def says(self) -> str:
        """How far the table reaches: "sizes run from 200 g to 800 g", "sizes start at 100 g"."""
        lows = [band.to.low for band in self.bands]
        highs = [band.to.high for band in self.bands]
        low = None if None in lows else min((end for end in lows if end is not None), default=None)
        high = None if None in highs else max((end for end in highs if end is not None), default=None)
        if low is not None and high is not None:
            return f"sizes run from {units.say_weight(low)} to {units.say_weight(high)}"
        if low is not None:
            return f"sizes start at {units.say_weight(low)}"
        return f"sizes end at {units.say_weight(high)}" if high is not None else "sizes have no ends"


@dataclass(frozen=True, slots=True)
class Outlet:
    """Where fruit goes that makes no class or does not fit the tray.

    ``takes`` holds limit ids (a limit that every class broke), TOO_LIGHT, TOO_HEAVY or NO_CLASS. The first outlet
    that takes the case gets the fruit; the one with NO_CLASS catches what no other takes.
    """

    id: str
    name: str
    packed: bool
    takes: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class Spec:
    """The written rules of a standard or a market. A published version never changes."""

    id: str
    title: str
    crop: Crop
    edition: str
    classes: tuple[GradeClass, ...]
    scale: Scale
    limits: tuple[Limit, ...]
    outlets: tuple[Outlet, ...]
    source: Source
    notes: tuple[str, ...] = ()

    def grade_class(self, class_id: str) -> GradeClass:
        """The class of that id; KeyError when the spec has none."""
        for grade_class in self.classes:
            if grade_class.id == class_id:
                return grade_class
        raise KeyError(class_id)

    def limit(self, limit_id: str) -> Limit:
        """The limit of that id; KeyError when the spec has none."""
        for limit in self.limits:
            if limit.id == limit_id:
                return limit
        raise KeyError(limit_id)

    def outlet_for(self, cases: frozenset[str]) -> Outlet:
        """The first outlet that takes one of the cases, else the one that takes what makes no class."""
        for outlet in self.outlets:
            if not cases.isdisjoint(outlet.takes):
                return outlet
        return next(outlet for outlet in self.outlets if NO_CLASS in outlet.takes)

    @property
    def sources(self) -> tuple[Source, ...]:
        """Every source the spec leans on, each once, in file order."""
        found = [self.source, self.scale.source, *(band.source for band in self.scale.bands)]
        for limit in self.limits:
            found += [limit.source, *(row.source for row in limit.rows)]
        return tuple(dict.fromkeys(found + [outlet.source for outlet in self.outlets]))
