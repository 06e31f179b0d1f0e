"""Weighed trays against their label: three answers, which never make one.

* **average**: mean error + factor × s is at least 0; error is found less label, s the standard deviation with n - 1
* **short**: not more trays than permitted are short by more than T
* **single**: no tray is short by more than 2 × T

Each plan takes as many trays as its row says, the first of them in the order they were weighed: whoever weighs more
cannot choose among them afterwards, and the factor is for that many. A single tray short by more than 2 × T is final,
however few were weighed. Everything is exact: the squares of the inequality are compared, no root is taken.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain.trays.net_weight.label import Label
from shedgrade.domain.trays.net_weight.rules import RuleSet
from shedgrade.domain.trays.net_weight.tolerable import tolerable_deficiency
from shedgrade.domain.units import Exact, root_half_up


class Held(StrEnum):
    """One answer of a check."""

    HOLDS = "holds"
    FAILS = "fails"
    NOT_ENOUGH = "not enough weighed"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Average:
    """The average test. ``taken`` of the ``needed`` trays (None: no plan for this lot) stand behind the figures, which
    are in the label's unit; ``variance`` is s squared, None for less than two trays."""

    held: Held
    taken: int
    needed: int | None
    factor: Fraction | None
    mean_error: Fraction | None
    variance: Fraction | None

    def s(self, places: int = 1) -> Fraction:
        """The standard deviation, rounded; 0 for less than two trays."""
        return root_half_up(self.variance or Fraction(0), places)

    def allowance(self, places: int = 1) -> Fraction:
        """Factor × s, rounded: so far the mean may be below the label."""
        return root_half_up((self.factor or Fraction(0)) ** 2 * (self.variance or Fraction(0)), places)


@dataclass(frozen=True, slots=True)
class Short:
    """How many of the ``taken`` trays are short by more than ``t`` (None: not known): the places of those ``found`` in
    the order of weighing, from 0."""

    held: Held
    taken: int
    needed: int | None
    t: Fraction | None
    found: tuple[int, ...]
    permitted: int | None

    @property
    def already_too_many(self) -> bool:
        """Whether weighing on cannot make it good."""
        return self.permitted is not None and len(self.found) > self.permitted


@dataclass(frozen=True, slots=True)
class Single:
    """Which of all weighed trays are short by more than ``twice`` T (None: not known)."""

    held: Held
    taken: int
    needed: int | None
    twice: Fraction | None
    found: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LabelCheck:
    """Trays of one lot against one label by one set of rules. There is no answer for all three, on purpose."""

    rules: RuleSet
    label: Label
    lot: int
    contents: tuple[Fraction, ...]
    average: Average
    short: Short
    single: Single


def check_label(contents: Sequence[Exact], label: Label, lot: int, rules: RuleSet) -> LabelCheck:
    """Check what was found in trays drawn at random, in the order they were drawn, in the label's unit.

    ``lot`` is how many trays the lot holds; ValueError when more were weighed than that.
    """
    if lot < 1 or len(contents) > lot:
        raise ValueError(
            f"{len(contents)} trays of a lot of {lot}: a lot holds at least 1 tray, and all that were weighed"
        )
    errors = tuple(Fraction(each) - label.figure for each in contents)
    t = tolerable_deficiency(label, rules)
    short = _short(errors, t, lot, rules)
    return LabelCheck(
        rules,
        label,
        lot,
        tuple(map(Fraction, contents)),
        _average(errors, lot, rules),
        short,
        _single(errors, t, short.needed),
    )


def _average(errors: Sequence[Fraction], lot: int, rules: RuleSet) -> Average:
    row = rules.average.row(lot)
    needed = None if row is None else row.sample or lot
    taken = errors[:needed]
    mean = sum(taken, Fraction(0)) / len(taken) if taken else None
    variance = _variance(taken)
    factor = None if row is None else row.factor
    held = _enough(len(taken), needed)
    if held is None:
        assert mean is not None
        assert factor is not None
        held = _said(mean >= 0 or factor**2 * (variance or 0) >= mean**2)
    return Average(held, len(taken), needed, factor, mean, variance)


def _short(errors: Sequence[Fraction], t: Fraction | None, lot: int, rules: RuleSet) -> Short:
    row = rules.short.row(lot)
    needed = None if row is None else row.sample or lot
    taken = errors[:needed]
    found = _shorter_than(t, taken)
    permitted = None if row is None or needed is None else row.most_short(needed)
    held = _enough(len(taken), needed if t is not None else None)
    if held is None:
        assert permitted is not None
        held = _said(len(found) <= permitted)
    return Short(held, len(taken), needed, t, found, permitted)


def _single(errors: Sequence[Fraction], t: Fraction | None, needed: int | None) -> Single:
    twice = None if t is None else 2 * t
    found = _shorter_than(twice, errors)
    held = Held.FAILS if found else _enough(len(errors), needed if t is not None else None)
    return Single(held or Held.HOLDS, len(errors), needed, twice, found)


def _enough(taken: int, needed: int | None) -> Held | None:
    """Why there is no verdict; None when there is one."""
    if needed is None:
        return Held.NOT_KNOWN
    return Held.NOT_ENOUGH if taken < needed else None


def _said(holds: bool) -> Held:  # noqa: FBT001 - what is turned into an answer
    return Held.HOLDS if holds else Held.FAILS


def _shorter_than(amount: Fraction | None, errors: Sequence[Fraction]) -> tuple[int, ...]:
    return () if amount is None else tuple(place for place, error in enumerate(errors) if error < -amount)


def _variance(errors: Sequence[Fraction]) -> Fraction | None:
    """With n - 1, from the sums, exact."""
    n, total = len(errors), sum(errors, Fraction(0))
    return None if n <= 1 else (sum((each**2 for each in errors), Fraction(0)) - total**2 / n) / (n - 1)
