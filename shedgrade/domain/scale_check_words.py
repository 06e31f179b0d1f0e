"""What a morning check says to people: what the scale was off, and what has to be weighed again."""

from collections.abc import Callable
from datetime import datetime
from fractions import Fraction

from shedgrade.domain.scale_checks import Doubt, MassReading, ScaleCheck, Trust
from shedgrade.domain.units import G_PER_KG, THIN, Exact, digits, say_mass

_SAYS = {
    Trust.GOOD: "the scale was good before and after",
    Trust.OPEN: "the scale was good before, and has not been checked since",
    Trust.UNCHECKED: "the scale had not been checked before",
    Trust.DOUBT: "in doubt: the scale was found off",
}

CAUTION = "Only a scale that is verified for trade may decide what stands on a label; local law says which are."


def say_reading(reading: MassReading) -> str:
    """One test mass: "5 kg read as 5.012 kg, 12 g too much, more than the 5 g allowed"."""
    error = reading.error_g
    off = f"{_grams(abs(error))} too {'much' if error > 0 else 'little'}" if error else "just right"
    said = f"{_weight(reading.mass_g)} read as {_weight(reading.read_g)}, {off}"
    return said if reading.is_good else f"{said}, more than the {_grams(reading.allowed_g)} allowed"


def say_scale_check(check: ScaleCheck) -> str:
    """One check in a sentence, beginning with the answer."""
    answer = "good" if check.is_good else "not good"
    return f"{check.scale} is {answer}: {say_reading(check.low)}; {say_reading(check.high)}."


def say_trust(trust: Trust) -> str:
    """How far a weighing can be trusted."""
    return _SAYS[trust]


def say_doubt(doubt: Doubt, weighings: int, say_moment: Callable[[datetime], str]) -> str:
    """What is in doubt and what to do about it; ``say_moment`` says a moment in the shed's own time."""
    after = "before it was ever found good" if doubt.after is None else f"after {say_moment(doubt.after)}"
    before = "and until it is found good again" if doubt.before is None else f"and before {say_moment(doubt.before)}"
    if not weighings:
        return f"{doubt.scale}: {_found(doubt)}. Nothing is kept as weighed on it {after} {before}."
    things = f"{digits(weighings)} weighing{'' if weighings == 1 else 's'}"
    verb, them = ("is", "it") if weighings == 1 else ("are", "them")
    return f"{doubt.scale}: {_found(doubt)}. {things} {after} {before} {verb} in doubt: weigh {them} again."


def _found(doubt: Doubt) -> str:
    """The largest error of its bad checks."""
    readings = [reading for check in doubt.bad for reading in (check.low, check.high) if not reading.is_good]
    return f"found off, {say_reading(max(readings, key=lambda each: abs(each.error_g)))}"


def _weight(mass_g: Exact) -> str:
    return say_mass(mass_g, 4, trim=True) if abs(Fraction(mass_g)) >= G_PER_KG else _grams(mass_g)


def _grams(mass_g: Exact) -> str:
    return f"{digits(mass_g, 1, trim=True)}{THIN}g"
