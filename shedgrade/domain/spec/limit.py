"""A limit: what is measured and, row by row, how much is allowed. The first row that fits decides; none, no rule."""

from dataclasses import dataclass
from enum import StrEnum

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Source
from shedgrade.domain.spec.measure import Measure


class Level(StrEnum):
    """What a limit is held against."""

    FRUIT = "fruit"
    """Every fruit: breaking it costs the class."""
    PACKAGE = "package"
    """The fruit of one package together: uniform or not."""
    TOLERATED = "tolerated"
    """Only fruit that a tolerance takes in, whose part names it under ``still``."""


@dataclass(frozen=True, slots=True)
class Days:
    """A window of the year, both days included: "12-01 to 02-28" runs over the new year. Month and day."""

    first: tuple[int, int]
    last: tuple[int, int]

    def holds(self, month: int, day: int) -> bool:
        """Whether the day stands inside."""
        inside = self.first <= (month, day), (month, day) <= self.last
        return all(inside) if self.first <= self.last else any(inside)

    def covers(self, other: "Days") -> bool:
        """Whether every day of the other window stands inside this one."""
        days = [(month, day) for month in range(1, 13) for day in range(1, 32)]
        return all(self.holds(*each) for each in days if other.holds(*each))


@dataclass(frozen=True, slots=True)
class When:
    """A row's switch: the row speaks only of fruit whose figure of ``measure`` lies inside ``bound``.

    In a package limit the figure is that of the fruit with the smallest one. ``name`` is as written: a measure of the
    crop, "weight", "colour stage", or the id of another limit, whose measure is taken.
    """

    name: str
    measure: Measure
    bound: Bound

    def covers(self, other: "When") -> bool:
        """Whether it lets through every fruit that the other one does."""
        return self.name == other.name and self.bound.covers(other.bound)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a limit's table: for which fruit (an empty guard fits all), how much is allowed.

    ``stages`` are stages of marketing, ``grown_in`` and ``destinations`` and ``presentations`` plain words of the spec
    (``asked`` lists them). A guard over a fact that nobody gave leaves the limit not judged.
    """

    to: Bound
    source: Source
    classes: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    varieties: tuple[str, ...] = ()
    days: Days | None = None
    stages: tuple[str, ...] = ()
    destinations: tuple[str, ...] = ()
    grown_in: tuple[str, ...] = ()
    presentations: tuple[str, ...] = ()
    when: tuple[When, ...] = ()

    def fits(self, class_id: str, size: str | None) -> bool:
        """Whether the row speaks of this class and this size; a fruit without a size code fits no size."""
        return (not self.classes or class_id in self.classes) and (not self.sizes or size in self.sizes)

    def covers(self, other: "Row", classes: tuple[str, ...]) -> bool:
        """Whether it speaks of all fruit that the other row speaks of, in a spec with these classes."""
        named = [(self.classes, other.classes or classes), *zip(self.named_guards, other.named_guards, strict=True)]
        return (
            all(not mine or (each and set(each) <= set(mine)) for mine, each in named)
            and all(any(mine.covers(each) for each in other.when) for mine in self.when)
            and (self.days is None or (other.days is not None and self.days.covers(other.days)))
        )

    @property
    def named_guards(self) -> tuple[tuple[str, ...], ...]:
        """The words of its guards, size first, without classes, days and switches."""
        return self.sizes, self.varieties, self.stages, self.destinations, self.grown_in, self.presentations

    @property
    def is_plain(self) -> bool:
        """Whether class and size alone decide if the row fits."""
        return not any(self.named_guards[1:]) and self.days is None and not self.when


@dataclass(frozen=True, slots=True)
class Way:
    """Another way to satisfy a limit: "or a dry matter of at least 15 %"."""

    measure: Measure
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Limit:
    """One rule of the spec. It holds when its own way or one of ``or_else`` holds, and is broken when all that have a
    row are broken."""

    id: str
    name: str
    measure: Measure
    rows: tuple[Row, ...]
    source: Source
    level: Level = Level.FRUIT
    or_else: tuple[Way, ...] = ()

    @property
    def ways(self) -> tuple[Way, ...]:
        """Its own way and the others."""
        return (Way(self.measure, self.rows), *self.or_else)

    def row_for(self, class_id: str, size: str | None) -> Row | None:
        """The first row of its own way that speaks of a class and a size; None when there is none."""
        return next((row for row in self.rows if row.fits(class_id, size)), None)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a severity."""

    name: str
    to: Bound
    source: Source


@dataclass(frozen=True, slots=True)
class Severity:
    """A rating scale of faults: how bad the named kinds are, in steps from mild to severe.

    The figure is the sum or the largest of ``of`` by area, share or length, or the number of places (``by`` None). The
    first step it lies in counts, 1 for the first; where a text puts a figure into two steps the milder one stands
    first and wins. No figure lies between two steps. 0 when nothing is there, or less than the first step begins with.
    """

    id: str
    name: str
    measure: Measure
    steps: tuple[Step, ...]
    source: Source
