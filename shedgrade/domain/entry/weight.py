"""Weights: one fruit on the bench scale, and bins or trays on the big one. Typed or as the scale sends them."""

from collections.abc import Iterator
from fractions import Fraction

from shedgrade.domain.entry.errors import EntryError, shown
from shedgrade.domain.entry.numbers import decimals, tidy
from shedgrade.domain.entry.scale import reading
from shedgrade.domain.units import DG_PER_G, G_PER_KG, THIN, digits, round_half_up, say_weight

# The pound and the ounce are exact since the international yard and pound agreement of 1959: 0.453 592 37 kg, and a
# sixteenth of it.
_G_PER_LB = Fraction(45_359_237, 100_000)
GRAMS = {
    **dict.fromkeys(["g", "gram", "grams"], Fraction(1)),
    **dict.fromkeys(["kg", "kgs", "kilo"], Fraction(G_PER_KG)),
    **dict.fromkeys(["lb", "lbs"], _G_PER_LB),
    "oz": _G_PER_LB / 16,
}
OF_A_FRUIT = {"": Fraction(1)} | GRAMS
_OF_A_LOAD = {"": Fraction(G_PER_KG), **dict.fromkeys(["t", "tonne", "tonnes"], Fraction(G_PER_KG**2))} | GRAMS

# Beyond this a figure is no longer said in full: ten tonnes of one fruit.
_SAYABLE_DG = 10**8
_A_TRUCK_G = 60_000_000
_AS_IN_KILOGRAMS = 3


def weight(text: str, *, lightest_dg: int, heaviest_dg: int | None, fruit_name: str) -> int:
    """The weight of one fruit in decigrams, rounded half up to the decigram, the unit that is stored.

    A bare number is grams; g, kg, lb and oz are understood, and the lines in :mod:`scale`. ``fruit_name`` in the
    singular names the fruit in the refusal of a weight that no such fruit has. EntryError, NoReading.
    """
    accepted = _range_of_fruit(lightest_dg, heaviest_dg)
    exact_dg = reading(text, OF_A_FRUIT, accepted) * DG_PER_G
    weight_dg = round_half_up(exact_dg)
    if lightest_dg <= weight_dg and (heaviest_dg is None or weight_dg <= heaviest_dg):
        return weight_dg
    said = _say_as_typed(exact_dg) if abs(weight_dg) < _SAYABLE_DG else shown(text)
    if weight_dg < 0:
        raise EntryError(f"{said} is less than nothing", accepted)
    slip = _likely_slip(exact_dg, decimals(text), lightest_dg, heaviest_dg)
    apart = "lighter" if weight_dg < lightest_dg else "heavier"
    found = f"{said} is {apart} than any {fruit_name}"
    raise EntryError(found, accepted) if slip is None else EntryError(found, _did_you_mean(slip), _as_typed(slip))


def mass(text: str, *, least_g: int = 1, most_g: int = _A_TRUCK_G) -> int:
    """The weight of bins, trays or a load in grams, rounded half up to the gram.

    A bare number is kilograms; g, kg, lb, oz and t are understood, and the lines in :mod:`scale`.
    EntryError, NoReading.
    """
    accepted = f"a weight from {_say_load(least_g)} to {_say_load(most_g)} is accepted"
    mass_g = round_half_up(reading(text, _OF_A_LOAD, accepted))
    if least_g <= mass_g <= most_g:
        return mass_g
    said = shown(tidy(text, accepted)) if abs(mass_g) > most_g * G_PER_KG else _say_load(mass_g)
    if mass_g < 0:
        raise EntryError(f"{said} is less than nothing", accepted)
    raise EntryError(f"{said} is too {'little' if mass_g < least_g else 'much'}", accepted)


def _range_of_fruit(lightest_dg: int, heaviest_dg: int | None) -> str:
    if heaviest_dg is None:
        return f"a weight of at least {say_weight(lightest_dg)} is accepted"
    return f"a weight from {say_weight(lightest_dg)} to {say_weight(heaviest_dg)} is accepted"


def _likely_slip(exact_dg: Fraction, written_decimals: int, lightest_dg: int, heaviest_dg: int | None) -> int | None:
    """The same figures with the decimal point moved so that they make a possible fruit."""
    for moved in _moved_points(exact_dg, written_decimals):
        if moved.denominator == 1 and lightest_dg <= moved and (heaviest_dg is None or moved <= heaviest_dg):
            return int(moved)
    return None


def _moved_points(exact: Fraction, written_decimals: int) -> Iterator[Fraction]:
    """As little as possible first; but three decimals are most likely kilograms, or a comma between thousands."""
    if written_decimals == _AS_IN_KILOGRAMS:
        yield exact * 1000
    for power in (10, 100, 1000):
        yield exact * power
        yield exact / power


def _did_you_mean(weight_dg: int) -> str:
    return f"did you mean {say_weight(weight_dg)}?"


def _as_typed(weight_dg: int) -> str:
    grams, tenths = divmod(weight_dg, DG_PER_G)
    return f"{grams}.{tenths}" if tenths else f"{grams}"


def _say_as_typed(exact_dg: Fraction) -> str:
    return f"{digits(exact_dg / DG_PER_G, 3, trim=True)}{THIN}g"


def _say_load(mass_g: int) -> str:
    """Small loads in grams, as "0.001 kg" is hard to read."""
    if abs(mass_g) < G_PER_KG:
        return say_weight(mass_g * DG_PER_G)
    return f"{digits(Fraction(mass_g, G_PER_KG), 3, trim=True)}{THIN}kg"
