"""Whole units inside the house, how they are said, and the one place where anything is rounded.

==============  =======================================  ==========
what            unit inside                              name ends
==============  =======================================  ==========
fruit weight    decigram, a tenth of a gram              ``_dg``
bin, tray, lot  gram                                     ``_g``
area            square millimetre                        ``_mm2``
length          tenth of a millimetre                    ``_dmm``
share           basis point, one part in ten thousand    ``_bp``
Brix, numbers   a hundredth                              ``_hundredths``
temperature     tenth of a degree Celsius                ``_ddeg``
orchard area    square metre                             ``_m2``
money           the currency's smallest unit             ``_minor``
==============  =======================================  ==========

Limits and everything worked out from stored facts are exact :class:`~fractions.Fraction` values until
they are said. Rounding is half away from zero, which is what a person with a pencil does.
"""

from datetime import date
from fractions import Fraction
from math import floor, isqrt

DG_PER_G = 10
G_PER_KG = 1000
MM2_PER_CM2 = 100
DMM_PER_MM = 10
HUNDREDTHS = 100
M2_PER_HA = 10_000
BP = 10_000

PI = Fraction(355, 113)
"""Fixed, so that every machine gets the same area; wrong by one part in ten million."""

THIN = "\N{NARROW NO-BREAK SPACE}"

# ISO 4217: the currencies whose smallest unit is not a hundredth (from memory).
_MINOR_DIGITS = {
    **dict.fromkeys(["BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW"], 0),
    **dict.fromkeys(["PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF", "XPF"], 0),
    **dict.fromkeys(["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"], 3),
}

Exact = int | Fraction


def round_half_up(value: Exact) -> int:
    """Round to a whole number, halves away from zero: 2.5 gives 3, -2.5 gives -3."""
    exact = Fraction(value)
    return floor(exact + Fraction(1, 2)) if exact >= 0 else -floor(-exact + Fraction(1, 2))


def root_half_up(square: Exact, places: int = 0) -> Fraction:
    """The square root with so many decimals, halves up, found in whole numbers: 2 to two places gives 1.41."""
    return Fraction((isqrt(floor(4 * Fraction(square) * 100**places)) + 1) // 2, 10**places)


def whole_grams(weight_dg: int) -> int:
    """A fruit weight rounded half up to the gram, in decigrams: 3505 gives 3510."""
    return round_half_up(Fraction(weight_dg, DG_PER_G)) * DG_PER_G


def digits(value: Exact, places: int = 0, *, trim: bool = False) -> str:
    """Say a number with so many decimals and a thin space between thousands; ``trim`` drops empty decimals."""
    scaled = round_half_up(Fraction(value) * 10**places)
    sign = "\N{MINUS SIGN}" if scaled < 0 else ""
    whole, part = divmod(abs(scaled), 10**places)
    decimals = f"{part:0{places}d}" if places else ""
    if trim:
        decimals = decimals.rstrip("0")
    grouped = f"{whole:,}".replace(",", THIN)
    return f"{sign}{grouped}.{decimals}" if decimals else f"{sign}{grouped}"


def say_weight(weight_dg: Exact) -> str:
    """A fruit weight in grams, decimals only where there are any: 4120 gives "412 g"."""
    return f"{digits(Fraction(weight_dg, DG_PER_G), 1, trim=True)}{THIN}g"


def say_mass(mass_g: Exact, places: int = 0, *, trim: bool = False) -> str:
    """A bin, tray or lot mass in kilograms; ``trim`` drops empty decimals."""
    return f"{digits(Fraction(mass_g, G_PER_KG), places, trim=trim)}{THIN}kg"


def say_area(area_mm2: Exact) -> str:
    """An area in square centimetres: 460 gives "4.6 cm²"."""
    return f"{digits(Fraction(area_mm2, MM2_PER_CM2), 2, trim=True)}{THIN}cm\N{SUPERSCRIPT TWO}"


def say_percent(share: Exact, places: int = 0, *, trim: bool = False) -> str:
    """A share of one as a percentage: 1/3 gives "33 %"."""
    return f"{digits(Fraction(share) * 100, places, trim=trim)}{THIN}%"


def minor_digits(currency: str) -> int:
    """How many decimals the currency has (ISO 4217)."""
    return _MINOR_DIGITS.get(currency, 2)


def say_money(amount_minor: Exact, currency: str) -> str:
    """An amount of money with its currency code: 2150 in AUD gives "21.50 AUD"."""
    return f"{say_amount(amount_minor, currency)}{THIN}{currency}"


def say_amount(amount_minor: Exact, currency: str) -> str:
    """An amount of money where its currency is said beside it, as over a column: 2150 in AUD gives "21.50"."""
    places = minor_digits(currency)
    return digits(Fraction(amount_minor, 10**places), places)


def say_about_money(amount_minor: Exact, currency: str) -> str:
    """An estimated amount of money in whole units of the currency: its cents would be made up."""
    return f"{digits(Fraction(amount_minor) / 10 ** minor_digits(currency))}{THIN}{currency}"


def say_day(day: date) -> str:
    """A day as people write it: Mon 12 Jan 2026."""
    return f"{day:%a} {day.day} {day:%b %Y}"


def say_hectares(area_m2: Exact) -> str:
    """An orchard area in hectares: 12500 gives "1.25 ha"."""
    return f"{digits(Fraction(area_m2, M2_PER_HA), 4, trim=True)}{THIN}ha"


def say_minutes(minutes: int) -> str:
    """Minutes as people say them: 1 gives "minute", 30 gives "30 minutes", as after "every"."""
    return "minute" if minutes == 1 else f"{minutes}{THIN}minutes"
