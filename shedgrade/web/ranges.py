"""Estimates as people read them: the figure, and its range in words."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.units import (
    THIN,
    digits,
    minor_digits,
    round_half_up,
    say_about_money,
    say_mass,
    say_money,
    say_percent,
)

Speak = Callable[[Fraction], str]

_HUNDRED = 100
_TO = "\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}"  # a range stays on one line


@dataclass(frozen=True, slots=True)
class Said:
    """A figure, and its range ("" where none can be given)."""

    value: str
    range: str

    @property
    def both(self) -> str:
        """Figure and range in one: "71 % (66 to 76 %)"."""
        return f"{self.value} ({self.range})" if self.range else self.value


def share(estimate: Estimate) -> Said:
    """A share as a percentage."""
    return _said(estimate, say_percent, lambda low: digits(low * 100))


def small_share(estimate: Estimate) -> Said:
    """A share of which tenths of a percent matter."""
    return _said(estimate, lambda value: say_percent(value, 1), lambda low: digits(low * 100, 1))


def grams(estimate: Estimate) -> Said:
    """Whole grams."""
    return _said(estimate, lambda value: f"{digits(value)}{THIN}g", digits)


def kilograms(estimate: Estimate) -> Said:
    """Grams as kilograms."""
    return _said(estimate, say_mass, lambda low: digits(low / 1000))


def number(estimate: Estimate) -> Said:
    """A plain number, such as trays."""
    return _said(estimate, digits, digits)


def money(estimate: Estimate, currency: str) -> Said:
    """An amount in whole units of the currency."""
    scale = 10 ** minor_digits(currency)
    return _said(estimate, lambda value: say_about_money(value, currency), lambda low: digits(low / scale))


def money_exact(estimate: Estimate, currency: str) -> Said:
    """A small amount, such as a price per kilogram, to the smallest unit."""
    scale, places = 10 ** minor_digits(currency), minor_digits(currency)
    return _said(estimate, lambda value: say_money(value, currency), lambda low: digits(low / scale, places))


def in_a_hundred(bounds: tuple[Fraction, Fraction]) -> str:
    """Two shares as people count: "57 to 87 in 100"; an end that leaves nothing out is not said."""
    low, high = (round_half_up(bound * _HUNDRED) for bound in bounds)
    if low <= 0 and high >= _HUNDRED:
        return "anything from none to all of them"
    if low <= 0:
        return f"at most {high} in 100"
    return f"at least {low} in 100" if high >= _HUNDRED else f"{low}{_TO}{high} in 100"


def about(value: Fraction) -> str:
    """A number of fruit with two figures that mean something: 21 734 gives "22 000"."""
    whole = round_half_up(value)
    step = 10 ** max(len(str(whole)) - 2, 0)
    return digits(round_half_up(Fraction(whole, step)) * step)


def percent(value: Fraction) -> float:
    """A share as a position in a drawing, 0 to 100; a tenth of a percent is as fine as a screen shows."""
    return round(float(value) * 100, 1)


def _said(estimate: Estimate, whole: Speak, bare: Speak) -> Said:
    if estimate.low is None or estimate.high is None:
        return Said(whole(estimate.value), "")
    return Said(whole(estimate.value), f"{bare(estimate.low)}{_TO}{whole(estimate.high)}")


def looked_at(fruit: int, bins: int) -> str:
    """What a figure rests on: "60 fruit from 6 bins"."""
    return f"{digits(fruit)} fruit from {'1 bin' if bins == 1 else f'{digits(bins)} bins'}".replace(THIN, " ")
