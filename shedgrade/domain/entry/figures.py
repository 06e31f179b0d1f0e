"""Figures of a crop's own measures: a diameter, Brix, dry matter, a stalk's length."""

import re
from fractions import Fraction

from shedgrade.domain.bound import Unit, say_exact
from shedgrade.domain.crop import CropMeasure
from shedgrade.domain.entry.errors import EntryError, shown
from shedgrade.domain.entry.numbers import kept_whole, quantity
from shedgrade.domain.units import THIN

MOST_FIGURES = 100

# What may stand behind the number, by the unit of the measure; in base units, as bounds are.
UNITS_OF = {
    Unit.MM: {"": Fraction(10), "mm": Fraction(10), "cm": Fraction(100)},
    Unit.GRAM: {"": Fraction(10), "g": Fraction(10)},
    Unit.CM2: {"": Fraction(100), "cm2": Fraction(100), "cm²": Fraction(100)},
    Unit.PERCENT: {"": Fraction(1, 100), "%": Fraction(1, 100)},
    Unit.BRIX: {"": Fraction(100), "brix": Fraction(100), "°brix": Fraction(100), "°bx": Fraction(100)},
    Unit.NUMBER: {"": Fraction(1)},
}


_KEPT = {
    Unit.MM: "tenths of a mm",
    Unit.GRAM: "tenths of a gram",
    Unit.CM2: "hundredths of a cm²",
    Unit.NUMBER: "hundredths",
}


def kept_in(unit: Unit) -> str:
    """The steps that a figure in this unit is kept in, in words."""
    return _KEPT.get(unit, f"hundredths of 1 {unit}")


def figure(text: str, measure: CropMeasure) -> int:
    """One figure as the whole number that is stored; EntryError, also for one with more decimals than are kept."""
    exact = mean(text, measure)
    return kept_whole(
        exact * measure.per_base,
        text,
        kept_in(measure.unit),
        lambda stored: (
            measure.base(stored) / measure.unit.base if measure.plausible.allows(measure.base(stored)) else None
        ),
    )


def mean(text: str, measure: CropMeasure) -> Fraction:
    """A mean of several figures in base units, exactly as it was typed; EntryError."""
    accepted = _accepted(measure)
    base, _ = quantity(text, UNITS_OF[measure.unit], accepted)
    if base < 0 or not measure.plausible.allows(base):
        raise EntryError(f"{shown(text)} is no {measure.name} that can be", accepted)
    return base


def figures(text: str, measure: CropMeasure) -> tuple[int, ...]:
    """Several figures, parted by spaces, semicolons or new lines, in the order they stand; EntryError."""
    words = [word for word in re.split(r"[\s;]+", text.strip()) if word]
    joined = _with_units(words)
    if len(joined) > MOST_FIGURES:
        raise EntryError(f"{len(joined)} figures are too many", f"at most {MOST_FIGURES} are accepted")
    return tuple(figure(word, measure) for word in joined)


def _with_units(words: list[str]) -> list[str]:
    """A unit that stands by itself belongs to the number before it: "15.2 %"."""
    joined: list[str] = []
    for word in words:
        if joined and not any(sign.isdigit() for sign in word):
            joined[-1] += f" {word}"
        else:
            joined.append(word)
    return joined


def _accepted(measure: CropMeasure) -> str:
    bound, unit = measure.plausible, f" {measure.unit}".rstrip()
    if bound.low is not None and bound.high is not None:
        return f"from {say_exact(bound.low, measure.unit)} to {say_exact(bound.high, measure.unit)} is accepted"
    return f"{bound.says()} is accepted" if not bound.is_any else f"a number{unit.replace(' ', THIN)} is accepted"
