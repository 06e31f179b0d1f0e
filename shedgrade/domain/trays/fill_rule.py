"""What trays of a count must hold: the rule that size breaks are set by. Every count holds it by itself.

The average-quantity rule has three parts, all needed: the average is at least the label, no more than the allowed share
is short by more than the tolerable deficiency T, none by more than 2 T (national trade measurement rules of Australia
2009, reg. 4.36 and New Zealand 1999, reg. 84B, read; 2.5 % short by more than T: a packer's rule of UK and EU, read
second-hand). "None" cannot be said of fruit that fall as they will: here it is less than one tray in 10,000 (our own).
"""

from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.units import Exact

NEVER = Fraction(1, 10_000)
"""The chance that counts as never where fruit fall into trays as they will: our own choice."""


@dataclass(frozen=True, slots=True)
class ShortTrays:
    """At most the share ``most`` of trays may weigh over ``short_by_g`` grams less than they should."""

    short_by_g: Exact
    most: Fraction

    def __post_init__(self) -> None:
        """Refuse a share that is none; ValueError."""
        if not 0 <= self.most < 1 or self.short_by_g < 0:
            raise ValueError("a share of trays from 0 to under 1 may be short, by 0 g or more")


@dataclass(frozen=True, slots=True)
class FillRule:
    """All of it must hold for a count: every fruit its part of the tray, the mean tray full, few trays short."""

    every_fruit: bool = False
    mean: bool = False
    short: tuple[ShortTrays, ...] = ()


def never_short() -> FillRule:
    """Every fruit weighs at least its part of the tray, so that no tray can be short whichever fruit it holds."""
    return FillRule(every_fruit=True)


def average_quantity(tolerable_g: Exact, most_short: Fraction = Fraction(25, 1000)) -> FillRule:
    """The mean tray full, at most ``most_short`` of trays short by more than T = ``tolerable_g``, none by over 2 T."""
    return FillRule(mean=True, short=(ShortTrays(tolerable_g, most_short), ShortTrays(2 * tolerable_g, NEVER)))


def few_short(most: Fraction) -> FillRule:
    """At most the share ``most`` of trays weigh less than they should, by however little."""
    return FillRule(short=(ShortTrays(0, most),))
