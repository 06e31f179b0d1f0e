"""A named set of rules for labelled packs: the values only, what they say of trays is worked out elsewhere.

Rounding, plan and factor of a check all come from one set: every function takes the whole set, none takes a part.

``T`` is what a single pack may be short of its label without counting as short. Texts name what is short by more than
T and by more than twice T differently, and one uses a word for the one that another uses for the other, so that here
both are said in figures.
"""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor
from typing import NamedTuple

from shedgrade.domain.source import Source


class Band(NamedTuple):
    """Labels up to and with ``up_to_g`` grams (None: without end) have as T a ``share`` of the label, or ``grams``."""

    up_to_g: int | None
    share: Fraction | None = None
    grams: Fraction = Fraction(0)


class Step(NamedTuple):
    """For labels up to and with ``up_to_g`` grams (None: without end), T is rounded up to the next multiple of this."""

    up_to_g: int | None
    step_g: Fraction


@dataclass(frozen=True, slots=True)
class Deficiency:
    """T by label weight, for labels of ``from_g`` to the end of the last band. Without bands it is not known, and the
    note of the source says why."""

    bands: tuple[Band, ...]
    source: Source
    from_g: int = 0


@dataclass(frozen=True, slots=True)
class Rounding:
    """How T is rounded up; without steps it is left as it is worked out."""

    steps: tuple[Step, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class CountRule:
    """Packs labelled by count: none missing up to ``never_up_to`` items, above that a share, rounded up to a whole
    item. Both None: not known."""

    never_up_to: int | None
    share: Fraction | None
    source: Source


class Form(StrEnum):
    """How a text writes its average test. All are one inequality: the mean error plus factor times s is not below 0."""

    ERROR = "mean error + factor × s is at least 0"
    MEAN = "mean is at least label − factor × s"
    LIMIT = "mean error, if it is below 0, is no larger than factor × s"


class AverageRow(NamedTuple):
    """Lots of ``least`` to ``most`` trays (None: without end): how many are weighed (None: all), and the factor."""

    least: int
    most: int | None
    sample: int | None
    factor: Fraction


class ShortRow(NamedTuple):
    """Lots of ``least`` to ``most`` trays (None: without end): how many are weighed (None: all), and how many of them
    may be short by more than T: a number, or a share of those weighed."""

    least: int
    most: int | None
    sample: int | None
    permitted: int | Fraction

    def most_short(self, weighed: int) -> int:
        """How many of so many weighed trays may be short by more than T."""
        return self.permitted if isinstance(self.permitted, int) else floor(self.permitted * weighed)


@dataclass(frozen=True, slots=True)
class AveragePlan:
    """The average test by lot size; without rows it is not known, and the note of the source says why."""

    rows: tuple[AverageRow, ...]
    form: Form
    source: Source
    form_source: Source

    def row(self, lot: int) -> AverageRow | None:
        """The row of a lot of so many trays."""
        return next((row for row in self.rows if _holds(row.least, row.most, lot)), None)


@dataclass(frozen=True, slots=True)
class ShortPlan:
    """How many trays may be short by more than T, by lot size; without rows it is not known, the source says why."""

    rows: tuple[ShortRow, ...]
    source: Source

    def row(self, lot: int) -> ShortRow | None:
        """The row of a lot of so many trays."""
        return next((row for row in self.rows if _holds(row.least, row.most, lot)), None)


@dataclass(frozen=True, slots=True)
class WeighingShare:
    """The error of weighing a tray may be at most this share of T."""

    share: Fraction
    source: Source


@dataclass(frozen=True, slots=True)
class RuleSet:
    """One named set of rules with the source of each of its parts. ``twice`` is where it says that no tray may be short
    by more than 2 × T."""

    id: str
    name: str
    deficiency: Deficiency
    rounding: Rounding
    counts: CountRule
    average: AveragePlan
    short: ShortPlan
    twice: Source
    weighing: WeighingShare

    @property
    def parts(self) -> tuple[tuple[str, Source], ...]:
        """Each part by name, and where it comes from."""
        return (
            ("T by label weight", self.deficiency.source),
            ("rounding of T", self.rounding.source),
            ("packs labelled by count", self.counts.source),
            ("trays weighed for the average, and the factor", self.average.source),
            ("the average test", self.average.form_source),
            ("how many may be short by more than T", self.short.source),
            ("none short by more than 2 × T", self.twice),
            ("error of weighing", self.weighing.source),
        )


def _holds(least: int, most: int | None, lot: int) -> bool:
    return least <= lot and (most is None or lot <= most)
