"""A bound: how much is allowed, written with its comparator in sight.

"Not exceeding" is ``<=`` and includes the figure, "less than" is ``<`` and does not, so a bound shows for each
end whether the figure itself is allowed::

    <= 4 cm2        at most 4 cm²
    > 21 % and < 35 %
    >= 33 1/3 %     the same as >= 1/3
    <= 10 mm
    >= 6.2 Brix
    <= 2 circles of 6 mm    the area of two circles of that diameter
    nil             none at all
    any             no end either way

Figures are exact fractions in base units: decigrams, mm², shares of one, tenths of a millimetre, hundredths of a
degree Brix, plain numbers.
"""

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import ceil, floor
from typing import NamedTuple

from shedgrade.domain import units


class UnreadableError(ValueError):
    """A text that is not written as a bound."""

    def __init__(self) -> None:
        super().__init__('a comparator, a figure and its unit, such as "<= 4 cm2"; or "nil" or "any"')


class Unit(StrEnum):
    """What a bound is written in. A share may also be written as a plain fraction of one."""

    GRAM = "g"
    CM2 = "cm2"
    PERCENT = "%"
    MM = "mm"
    BRIX = "Brix"
    CIRCLES = "circles"
    """Circles of a stated diameter, added up: "<= 2 circles of 6 mm". Inside they are mm²."""
    NUMBER = ""

    @property
    def base(self) -> Fraction:
        """How many base units one written unit holds."""
        return _BASE[self]


_BASE = {
    Unit.GRAM: Fraction(units.DG_PER_G),
    Unit.CM2: Fraction(units.MM2_PER_CM2),
    Unit.PERCENT: Fraction(1, 100),
    Unit.MM: Fraction(units.DMM_PER_MM),
    Unit.BRIX: Fraction(units.HUNDREDTHS),
    Unit.CIRCLES: Fraction(units.MM2_PER_CM2),
    Unit.NUMBER: Fraction(1),
}

_LARGEST_BOTTOM = 99  # of a fraction that is said as one
_LONGEST = 200  # of a bound's text, so that reading stays quick

# A figure is whole, decimal, a fraction or whole and fraction; its length is capped so that reading stays quick.
_PART = re.compile(
    r"(?P<sign><=|>=|<|>)\s*(?P<figure>\d[\d./\s]*?)\s*"
    r"(?P<unit>g|cm2|%|mm|Brix|circles?\s+of\s+(?P<circle>\d[\d./\s]*?)\s*mm)?",
    re.ASCII,
)
_FIGURE = re.compile(
    r"(?P<decimal>\d{1,9}(?:\.\d{1,6})?)|(?:(?P<whole>\d{1,9})\s+)?(?P<top>\d{1,6})\s*/\s*(?P<bottom>\d{1,6})",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Bound:
    """An interval in base units; an end that is None is not there, a closed end includes its figure.

    ``circle_dmm`` is the diameter of the circles that a bound in circles is written in, tenths of a millimetre.
    """

    low: Fraction | None = None
    high: Fraction | None = None
    low_closed: bool = True
    high_closed: bool = True
    unit: Unit = Unit.NUMBER
    circle_dmm: Fraction | None = None

    @classmethod
    def parse(cls, text: str) -> "Bound":
        """Read a bound; ValueError says what would be accepted, UnreadableError where it is not written as one."""
        words = text.strip()
        if len(words) > _LONGEST:
            raise UnreadableError
        if words == "nil":
            return NIL
        if words == "any":
            return ANY
        return _joined([_end(part) for part in re.split(r"\s+and\s+", words)])

    def allows(self, value: units.Exact) -> bool:
        """Whether a value in base units stands inside the bound."""
        return not self.is_under(value) and not self.is_over(value)

    def is_under(self, value: units.Exact) -> bool:
        """Whether the value falls short of the lower end."""
        return self.low is not None and (value < self.low or (value == self.low and not self.low_closed))

    def is_over(self, value: units.Exact) -> bool:
        """Whether the value passes the upper end."""
        return self.high is not None and (value > self.high or (value == self.high and not self.high_closed))

    def covers(self, other: "Bound") -> bool:
        """Whether everything that the other bound allows stands inside this one."""
        low = self.low is None or (
            other.low is not None and (self.low, not self.low_closed) <= (other.low, not other.low_closed)
        )
        high = self.high is None or (
            other.high is not None and (other.high, other.high_closed) <= (self.high, self.high_closed)
        )
        return low and high

    def shared(self, other: "Bound") -> "Bound | None":
        """What both allow, in the unit of this one; None where that is nothing."""
        lows = [(each.low, not each.low_closed) for each in (self, other) if each.low is not None]
        highs = [(each.high, each.high_closed) for each in (self, other) if each.high is not None]
        low, is_open = max(lows, default=(None, False))
        high, is_closed = min(highs, default=(None, True))
        both = replace(self, low=low, low_closed=not is_open, high=high, high_closed=is_closed)
        return None if _is_empty(both) else both

    def whole(self) -> tuple[int | None, int | None]:
        """The least and the greatest whole number of base units allowed."""
        least = None if self.low is None else ceil(self.low) if self.low_closed else floor(self.low) + 1
        most = None if self.high is None else floor(self.high) if self.high_closed else ceil(self.high) - 1
        return least, most

    @property
    def is_nil(self) -> bool:
        """Whether nothing at all is allowed."""
        return self.low is None and self.high == 0 and self.high_closed

    @property
    def is_any(self) -> bool:
        """Whether everything is allowed."""
        return self.low is None and self.high is None

    def text(self) -> str:
        """The one written form; ``Bound.parse`` reads it back to an equal bound."""
        if self.is_any:
            return "any"
        if self == NIL:
            return "nil"
        low = [] if self.low is None else [f"{'>=' if self.low_closed else '>'} {self._written(self.low)}"]
        high = [] if self.high is None else [f"{'<=' if self.high_closed else '<'} {self._written(self.high)}"]
        return " and ".join(low + high)

    def says(self) -> str:
        """The bound in plain words: "at most 4 cm²", "at least 3", "none", "from 351 g to 550 g"."""
        if self.is_any:
            return "any"
        if self.is_nil:
            return "none"
        if self.low is not None and self.high is not None and self.low_closed and self.high_closed:
            return f"from {self._said(self.low)} to {self._said(self.high)}"
        over = "at least" if self.low_closed else "over"
        under = "at most" if self.high_closed else "under"
        low = [] if self.low is None else [f"{over} {self._said(self.low)}"]
        high = [] if self.high is None else [f"{under} {self._said(self.high)}"]
        return " and ".join(low + high)

    def _written(self, value: Fraction) -> str:
        if self.circle_dmm is not None:
            return _circles(value, self.circle_dmm)
        return f"{written_figure(value / self.unit.base)} {self.unit}".rstrip()

    def _said(self, value: Fraction) -> str:
        return say_exact(value, self.unit) if self.circle_dmm is None else _circles(value, self.circle_dmm)


NIL = Bound(high=Fraction(0))
ANY = Bound()


class _End(NamedTuple):
    """One end of a bound as read; the value in base units."""

    is_low: bool
    value: Fraction
    closed: bool
    unit: Unit
    circle_dmm: Fraction | None


def say_exact(value: Fraction, unit: Unit) -> str:
    """The end of a bound as people read it; a third stays a third, the area of a circle gets decimals."""
    unit = Unit.CM2 if unit is Unit.CIRCLES else unit
    figure = value / unit.base
    if (figure * 100).denominator == 1 or figure.denominator > _LARGEST_BOTTOM:
        return say(value, unit)
    return f"{written_figure(figure)}{units.THIN}{unit.replace('cm2', 'cm²')}".rstrip(units.THIN)


def say(value: Fraction, unit: Unit) -> str:
    """A measured value in base units as people read it, to the tenth of a gram, else to two decimals."""
    if unit is Unit.GRAM:
        return units.say_weight(value)
    if unit in (Unit.CM2, Unit.CIRCLES):
        return units.say_area(value)
    if unit is Unit.PERCENT:
        return units.say_percent(value, 2, trim=True)
    if unit in (Unit.MM, Unit.BRIX):
        return f"{units.digits(value / unit.base, 2, trim=True)}{units.THIN}{unit}"
    return units.digits(value, 2, trim=True)


def read_figure(text: str) -> Fraction:
    """A figure as a bound writes it: whole, decimal, a fraction, or whole and fraction; ValueError if it is none."""
    found = _FIGURE.fullmatch(text.strip())
    if found is None or not _is_proper(found):
        raise ValueError(f'"{text}" is not a figure, such as 4, 4.5, 1/3 or 33 1/3')
    figure = Fraction(found["decimal"]) if found["decimal"] else Fraction(int(found["top"]), int(found["bottom"]))
    return figure + int(found["whole"] or 0)


def written_figure(figure: Fraction) -> str:
    """A figure as written: whole, decimal where it ends, else as a fraction; ``read_figure`` reads it back."""
    whole, rest = divmod(figure, 1)
    if not rest:
        return str(whole)
    if (rest * 10**6).denominator == 1:
        return f"{whole}.{int(rest * 10**6):06d}".rstrip("0")
    return f"{whole} {rest}" if whole else str(rest)


def _circle_mm2(diameter_dmm: Fraction) -> Fraction:
    """The area of one circle, exact by ``units.PI``."""
    return units.PI * (diameter_dmm / units.DMM_PER_MM) ** 2 / 4


def _circles(value: Fraction, diameter_dmm: Fraction) -> str:
    number, size = value / _circle_mm2(diameter_dmm), written_figure(diameter_dmm / units.DMM_PER_MM)
    return f"{written_figure(number)} circle{'' if number == 1 else 's'} of {size} mm"


def _end(part: str) -> _End:
    found = _PART.fullmatch(part.strip())
    if found is None:
        raise UnreadableError
    try:
        figure = read_figure(found["figure"])
        circle = None if found["circle"] is None else read_figure(found["circle"]) * units.DMM_PER_MM
    except ValueError as error:
        raise UnreadableError from error
    if circle == 0:
        raise ValueError("a circle with a width over 0 mm")
    unit = Unit(found["unit"] or "") if circle is None else Unit.CIRCLES
    base = unit.base if circle is None else _circle_mm2(circle)
    return _End(found["sign"][0] == ">", figure * base, found["sign"].endswith("="), unit, circle)


def _is_proper(found: re.Match[str]) -> bool:
    """No division by nothing, and no "33 4/3"."""
    top, bottom = int(found["top"] or 0), int(found["bottom"] or 1)
    return bottom > 0 and (not found["whole"] or top < bottom)


def _joined(ends: list[_End]) -> Bound:
    lows = [end for end in ends if end.is_low]
    highs = [end for end in ends if not end.is_low]
    if len(lows) > 1 or len(highs) > 1:
        raise ValueError("one lower and one upper end at most: two are on the same side")
    if len({(end.unit, end.circle_dmm) for end in ends}) > 1:
        raise ValueError("both ends in the same unit: this mixes units")
    bound = Bound(
        low=lows[0].value if lows else None,
        high=highs[0].value if highs else None,
        low_closed=lows[0].closed if lows else True,
        high_closed=highs[0].closed if highs else True,
        unit=ends[0].unit,
        circle_dmm=ends[0].circle_dmm,
    )
    if _is_empty(bound):
        raise ValueError("a lower end below the upper end: this allows nothing")
    return bound


def _is_empty(bound: Bound) -> bool:
    if bound.high is None:
        return False
    least = bound.low if bound.low is not None else Fraction(0)
    return not bound.allows(least) if bound.low is None or bound.low == bound.high else bound.low > bound.high
