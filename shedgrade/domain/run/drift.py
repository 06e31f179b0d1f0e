"""Whether the mix of classes drifts while a run is packed: a p chart over half hours, widened by their own spread.

Trays of one half hour resemble each other, since they come from a few bins; limits from counting alone would call every
other bin a drift. So they are widened by how far the base half hours lie apart beyond that.
Source: P. B. Laney, "Improved control charts for attributes", Quality Engineering 14 (2002), the p' chart; from memory.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import sqrt

PERIOD = timedelta(minutes=30)
BASE_PERIODS = 4
FEWEST = 10
_OUTSIDE, _WARNING = 3.0, 2.0
_RUN = 8
_RANGE_TO_SD = 1.128  # of two values, normally spread: the constant d2 for n = 2


@dataclass(frozen=True, slots=True)
class Period:
    """A stretch of time: what was counted in it, and how many of these were of the kind that is watched."""

    began: datetime
    counted: int
    found: int

    @property
    def share(self) -> float:
        """The share found; 0 of nothing."""
        return self.found / self.counted if self.counted else 0.0


@dataclass(frozen=True, slots=True)
class Chart:
    """A centre line, and by how much its limits are wider than counting alone would make them (1: not at all)."""

    centre: float
    spread: float = 1.0

    def deviation(self, counted: int) -> float:
        """One standard deviation of a share of so many."""
        return self.spread * sqrt(self.centre * (1 - self.centre) / counted) if counted else 0.0

    def limits(self, counted: int) -> tuple[float, float]:
        """Below and above which a share of so many is outside; a share cannot be less than none or more than all."""
        half = _OUTSIDE * self.deviation(counted)
        return max(0.0, self.centre - half), min(1.0, self.centre + half)

    def distance(self, period: Period) -> float:
        """How far a period lies from the centre, in standard deviations: below it is negative."""
        deviation = self.deviation(period.counted)
        if deviation:
            return (period.share - self.centre) / deviation
        # A base of none or of all leaves no room: whatever differs from it lies outside.
        return 0.0 if period.share == self.centre else _OUTSIDE * (2 if period.share > self.centre else -2)


@dataclass(frozen=True, slots=True)
class Drift:
    """A share that is not what it was in the base: since when, which way, and by which rule it is told."""

    since: datetime
    up: bool
    rule: str


def chart_of(base: Sequence[Period], *, widened: bool = True) -> Chart:
    """The chart of a base; ValueError of nothing. ``widened`` False leaves it the plain p chart, by counting alone."""
    counted = sum(each.counted for each in base)
    if not counted:
        raise ValueError("a chart needs something counted")
    plain = Chart(sum(each.found for each in base) / counted)
    if not widened or len(base) < 2:  # noqa: PLR2004 - a range needs two
        return plain
    distances = [plain.distance(each) for each in base]
    ranges = [abs(later - earlier) for earlier, later in pairwise(distances)]
    return Chart(plain.centre, max(1.0, sum(ranges) / len(ranges) / _RANGE_TO_SD))


def drift_of(chart: Chart, periods: Sequence[Period]) -> Drift | None:
    """What the last of these periods shows, in their order; None while they look like the base.

    One outside the limits; two of three beyond two thirds of them on one side; eight in a row on one side of the
    centre. Source: Western Electric, Statistical Quality Control Handbook (1956), rules 1, 2 and 4; from memory.
    """
    if not periods:
        return None
    away = [chart.distance(each) for each in periods]
    for up in (True, False):
        lie = [each if up else -each for each in away]
        for rule, length, needed, beyond in _RULES:
            last = lie[-length:]
            if lie[-1] > beyond and sum(each > beyond for each in last) >= needed:
                return Drift(periods[_began(lie, length, beyond)].began, up, rule)
    return None


_RULES: tuple[tuple[str, int, int, float], ...] = (
    ("one half hour outside the limits", 1, 1, _OUTSIDE),
    ("two of three half hours far out on the same side", 3, 2, _WARNING),
    ("eight half hours in a row on the same side", _RUN, _RUN, 0.0),
)


def _began(lie: Sequence[float], length: int, beyond: float) -> int:
    """The place of the first period beyond among those that the rule looked at, or of those right before it that lie
    beyond too."""
    start = max(len(lie) - length, 0)
    first = next(place for place, each in enumerate(lie[start:], start) if each > beyond)
    while first > 0 and lie[first - 1] > beyond:
        first -= 1
    return first


def periods_of(
    mix: Mapping[datetime, Mapping[str, int]], kind: Callable[[str], bool], until: datetime
) -> tuple[Period, ...]:
    """The half hours that are over by ``until`` with at least FEWEST counted, in order; ``mix`` holds for each when it
    began and what was counted of each class."""
    return tuple(
        Period(began, sum(counted.values()), sum(number for name, number in counted.items() if kind(name)))
        for began, counted in sorted(mix.items())
        if began + PERIOD <= until and sum(counted.values()) >= FEWEST
    )
