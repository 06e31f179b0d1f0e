"""Figures of a crop's own measures: a diameter, Brix, dry matter, a stalk's length."""

import re
from fractions import Fraction

from shedgrade.domain.bound import Unit, say_exact
from shedgrade.domain.crop import CropMeasure
from shedgrade.domain.entry.errors import EntryError, shown
from shedgrade.domain.entry.numbers import quantity
from shedgrade.domain.units import THIN, round_half_up

MOST_FIGURES = 100

# What may stand behind the number, by the unit of the measure; in base units, as bounds are.
_BEHIND = {
    Unit.MM: {"": Fraction(10), "mm": Fraction(10), "cm": Fraction(100)},
    Unit.GRAM: {"": Fraction(10), "g": Fraction(10)},
    Unit.CM2: {"": Fraction(100), "cm2": Fraction(100), "cm²": Fraction(100)},
    Unit.PERCENT: {"": Fraction(1, 100), "%": Fraction(1, 100)},
    Unit.BRIX: {"": Fraction(100), "brix": Fraction(100), "°brix": Fraction(100), "°bx": Fraction(100)},
    Unit.NUMBER: {"": Fraction(1)},
}


def figure(text: str, measure: CropMeasure) -> int:
    """One figure as the whole number that is stored, rounded half up; EntryError."""
    accepted = _accepted(measure)
    base, _ = quantity(text, _BEHIND[measure.unit], accepted)
    stored = round_half_up(base * measure.per_base)
    if base < 0 or not measure.plausible.allows(measure.base(stored)):
        raise EntryError(f"{shown(text)} is no {measure.name} that can be", accepted)
    return stored


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
