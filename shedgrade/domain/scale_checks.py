"""The morning check: a light and a heavy test mass on every scale, what it was off, and what that puts in doubt.

Common practice, as in packing guides: at least daily before work, better at the end too, with masses at the bottom and
the top of what the scale weighs. A check says nothing of the time between two checks unless both were good.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from operator import attrgetter

from shedgrade.domain.units import Exact


@dataclass(frozen=True, slots=True)
class MassReading:
    """A test mass, what the scale read, and how far off it may be either way, all in grams."""

    mass_g: Exact
    read_g: Exact
    allowed_g: Exact

    def __post_init__(self) -> None:
        """Refuse what no test mass is; ValueError."""
        if self.mass_g <= 0:
            raise ValueError("a test mass weighs more than 0 g")
        if self.allowed_g < 0:
            raise ValueError("the error allowed is 0 g or more")

    @property
    def error_g(self) -> Fraction:
        """How much too much it read; below 0, too little."""
        return Fraction(self.read_g) - self.mass_g

    @property
    def is_good(self) -> bool:
        """Whether it is off by no more than allowed."""
        return abs(self.error_g) <= self.allowed_g


@dataclass(frozen=True, slots=True)
class ScaleCheck:
    """A scale with its test masses at one moment, which carries its time zone."""

    scale: str
    at: datetime
    low: MassReading
    high: MassReading

    def __post_init__(self) -> None:
        """Refuse masses the wrong way round; ValueError."""
        if self.low.mass_g >= self.high.mass_g:
            raise ValueError("the light test mass weighs less than the heavy one")

    @property
    def is_good(self) -> bool:
        """Whether both readings are."""
        return self.low.is_good and self.high.is_good


class Trust(StrEnum):
    """How far a weighing can be trusted, by the checks of its scale before and after it."""

    GOOD = "good before and after"
    OPEN = "good before, not checked since"
    UNCHECKED = "not checked before"
    DOUBT = "in doubt"


@dataclass(frozen=True, slots=True)
class Weighing:
    """Something weighed: ``id`` is whatever the caller knows it by."""

    id: int
    scale: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Doubt:
    """A time in which a scale cannot be trusted: after ``after`` (None: no good check before) and before ``before``
    (None: no good check since). ``bad`` are the checks in it that were not good, the first first."""

    scale: str
    after: datetime | None
    before: datetime | None
    bad: tuple[ScaleCheck, ...]

    def covers(self, weighing: Weighing) -> bool:
        """Whether it was weighed on this scale in that time. At the moment of a good check it was not."""
        after = self.after is None or self.after < weighing.at
        return weighing.scale == self.scale and after and (self.before is None or weighing.at < self.before)


def doubts(checks: Iterable[ScaleCheck]) -> tuple[Doubt, ...]:
    """Each time in doubt, scale by scale: from the last good check before a bad one to the next good one after it.

    Checks may come in any order; of two at one moment the one given later is the later one.
    """
    by_scale: dict[str, list[ScaleCheck]] = {}
    for check in sorted(checks, key=attrgetter("at")):
        by_scale.setdefault(check.scale, []).append(check)
    return tuple(doubt for scale in sorted(by_scale) for doubt in _doubts_of(scale, by_scale[scale]))


def in_doubt(checks: Iterable[ScaleCheck], weighings: Iterable[Weighing]) -> tuple[Weighing, ...]:
    """Those of the weighings that stand in any doubt, in their own order."""
    found = doubts(checks)
    return tuple(weighing for weighing in weighings if any(doubt.covers(weighing) for doubt in found))


def trust(checks: Sequence[ScaleCheck], weighing: Weighing) -> Trust:
    """How far one weighing can be trusted now; a later check may say more."""
    mine = [check for check in checks if check.scale == weighing.scale]
    if in_doubt(mine, [weighing]):
        return Trust.DOUBT
    if not any(check.at <= weighing.at for check in mine):
        return Trust.UNCHECKED
    return Trust.GOOD if any(check.at >= weighing.at for check in mine) else Trust.OPEN


def not_checked_since(scales: Iterable[str], checks: Iterable[ScaleCheck], since: datetime) -> tuple[str, ...]:
    """The scales whose last check since that moment was not good, or that had none, in their own order."""
    last = {check.scale: check for check in sorted(checks, key=attrgetter("at")) if check.at >= since}
    return tuple(scale for scale in scales if scale not in last or not last[scale].is_good)


def _doubts_of(scale: str, checks: Sequence[ScaleCheck]) -> list[Doubt]:
    found: list[Doubt] = []
    good_at: datetime | None = None
    bad: list[ScaleCheck] = []
    for check in checks:
        if not check.is_good:
            bad.append(check)
            continue
        if bad:
            found.append(Doubt(scale, good_at, check.at, tuple(bad)))
        good_at, bad = check.at, []
    return [*found, Doubt(scale, good_at, None, tuple(bad))] if bad else found
