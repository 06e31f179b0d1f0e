"""New breaks on trial: the first trays packed by them are weighed, then they are kept, or the breaks before come back.

What was promised of them stands in the reason of their change, and so does the decision in the reason of the next: a
run is what happened in it, and a trial is read out of that.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from math import comb

from shedgrade.domain.run.events import Break, BreaksChanged
from shedgrade.domain.run.state import RunState
from shedgrade.domain.units import BP

TRIAL_TRAYS = 20
"""So many weighed trays settle a trial: our own choice."""
KEPT, GONE_BACK = "Kept after the trial", "Gone back to the breaks before the trial"
_DECIDED = (KEPT, GONE_BACK)
_UNLIKELY = Fraction(5, 100)
_READ = re.compile(
    r"Trial: promised (-?\d+) g over the label, (\d+)\.(\d\d) % of trays short"
    r"(?: \((\d+)\.(\d\d) to (\d+)\.(\d\d) %\))?",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Promise:
    """What a sample promised of breaks: grams over in the mean tray, and the share of trays that are short with the
    range it likely lies in (None where the sample gives none), in parts per ten thousand."""

    over_g: int
    short_bp: int
    range_bp: tuple[int, int] | None = None

    def says(self) -> str:
        """As it stands in the reason of the change."""
        within = "" if self.range_bp is None else " ({} to {} %)".format(*map(_hundredths, self.range_bp))
        return f"Trial: promised {self.over_g} g over the label, {_hundredths(self.short_bp)} % of trays short{within}"

    @property
    def most_short_bp(self) -> int:
        """The upper end of the range; the share itself without one."""
        return self.short_bp if self.range_bp is None else self.range_bp[1]


@dataclass(frozen=True, slots=True)
class Trial:
    """Breaks on trial in a stretch: of one tray type, since when, what was promised, and the breaks before."""

    stretch: int
    tray_id: int
    since: datetime
    promise: Promise
    before: tuple[Break, ...]


@dataclass(frozen=True, slots=True)
class Followed:
    """The trays weighed in a trial, and their label: net weights in grams, in the order they were weighed."""

    label_g: int
    nets_g: tuple[int, ...]

    @property
    def n(self) -> int:
        """How many."""
        return len(self.nets_g)

    @property
    def mean_g(self) -> Fraction | None:
        """Their mean; None before the first."""
        return Fraction(sum(self.nets_g), self.n) if self.nets_g else None

    @property
    def short(self) -> int:
        """How many weigh less than the label."""
        return sum(net_g < self.label_g for net_g in self.nets_g)

    @property
    def is_full(self) -> bool:
        """Whether enough were weighed to decide."""
        return self.n >= TRIAL_TRAYS

    def is_shorter_than(self, promise: Promise) -> bool:
        """Whether so many short trays would turn up less than once in 20 trials if the promise held at its upper end:
        the binomial distribution, summed exactly."""
        share = Fraction(promise.most_short_bp, BP)
        fewer = sum(comb(self.n, k) * share**k * (1 - share) ** (self.n - k) for k in range(self.short))
        return self.short > 0 and 1 - fewer < _UNLIKELY


def trial_of(state: RunState) -> Trial | None:
    """The trial that is on now; None where the breaks in force are none."""
    if len(state.stretches) < 2:  # noqa: PLR2004 - a run begins with breaks that nobody tries out
        return None
    before, now = state.stretches[-2:]
    promise = promise_in(now.why)
    changed = {each.tray_id for each in set(before.breaks) ^ set(now.breaks)}
    if promise is None or len(changed) != 1:
        return None
    return Trial(now.number, changed.pop(), now.began, promise, before.breaks)


def promise_in(why: str) -> Promise | None:
    """The promise in the reason of a change; None where it is no trial."""
    found = _READ.match(why)
    if found is None:
        return None
    over, *parts = (None if each is None else int(each) for each in found.groups())
    short, low, high = (
        None if whole is None or rest is None else whole * 100 + rest
        for whole, rest in zip(parts[::2], parts[1::2], strict=True)
    )
    return Promise(over or 0, short or 0, None if low is None or high is None else (low, high))


def begun(state: RunState, at: datetime, tray_id: int, breaks: Sequence[Break], promise: Promise) -> BreaksChanged:
    """The change that puts breaks of one tray type on trial; those of the others stay."""
    others = tuple(each for each in state.stretch.breaks if each.tray_id != tray_id)
    return BreaksChanged(at, (*others, *breaks), promise.says())


def kept(state: RunState, at: datetime, followed: Followed) -> BreaksChanged:
    """The breaks on trial stay: a stretch of their own, so that the trays of the trial are not mixed in."""
    return BreaksChanged(at, state.stretch.breaks, f"{KEPT}: {_seen(followed)}")


def gone_back(trial: Trial, at: datetime, followed: Followed) -> BreaksChanged:
    """The breaks before come back."""
    return BreaksChanged(at, trial.before, f"{GONE_BACK}: {_seen(followed)}")


def decided(why: str) -> bool:
    """Whether a change of breaks is the end of a trial."""
    return why.startswith(_DECIDED)


def _seen(followed: Followed) -> str:
    return f"{followed.short} of {followed.n} weighed trays short"


def _hundredths(bp: int) -> str:
    return f"{bp // 100}.{bp % 100:02}"
