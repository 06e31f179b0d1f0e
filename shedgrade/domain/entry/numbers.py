"""Numbers as people write them, with a unit behind or without."""

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from math import floor

from shedgrade.domain.entry.errors import EntryError, shown
from shedgrade.domain.units import digits

# Longer than any number with its unit; int() itself refuses a few thousand digits with an error of its own.
_LONGEST = 64

# Grouping starts with a digit above 0, so that "01 460" stays two numbers.
WHOLE = r"(?:[1-9][0-9]{0,2}(?: [0-9]{3})+|[0-9]+)"
_TYPED = re.compile(rf"(?P<sign>[+-]?) ?(?P<whole>{WHOLE})?(?:[.,](?P<part>[0-9]*))?(?P<unit>(?![0-9.,+-]).*)?")
_MINUS = dict.fromkeys(map(ord, "\N{MINUS SIGN}\N{EN DASH}\N{HYPHEN}\N{NON-BREAKING HYPHEN}"), "-")
# The letters O and l, and a capital I, are typed for 0 and 1; with a space before it, a letter is a unit or a sign.
_LETTER_FOR_DIGIT = r"(?<![A-Za-z])(?=[OoIl]*[0-9])[0-9.,OoIl]*[OoIl][0-9.,OoIl]*(?![A-Za-z])"
_WRONG = tuple(
    (re.compile(pattern), wrong)
    for pattern, wrong in (
        (r"(?![0-9])\d", "is not written with the digits 0 to 9"),
        ("^[^0-9]*$", "is not a number"),
        ("[0-9][eE][+-]?[0-9]", "is not a plain number"),
        (r"[0-9],[0-9]*\.|[0-9]\.[0-9]*,", "has both a comma and a point"),
        ("[.,][0-9]*[.,]", "has more than one decimal point"),
        (_LETTER_FOR_DIGIT, "has a letter where a digit should stand"),
        (r"[0-9](?!k?g)[^\W\d_]+[0-9]", "has a letter where a digit should stand"),
        ("[0-9][^0-9.,]+[.,]?[0-9]", "holds more than one number"),
    )
)


def tidy(text: str, accepted: str) -> str:
    """One line with single spaces and plain minus signs; control signs of scales and odd spaces become spaces."""
    if len(text) > _LONGEST:
        raise EntryError(f"{shown(text)} is too long for a number", accepted)
    plain = "".join(sign if sign.isprintable() else " " for sign in text.translate(_MINUS))
    line = " ".join(plain.split())
    if not line:
        raise EntryError("Nothing was typed", accepted)
    return line


def split_unit(line: str) -> tuple[Fraction, str] | None:
    """The number and what stands behind it, in small letters without spaces; None when it is no typed number."""
    match = _TYPED.fullmatch(line)
    if match is None or not (match["whole"] or match["part"]):
        return None
    whole = (match["whole"] or "0").replace(" ", "")
    part = match["part"] or ""
    number = Fraction(int(whole + part), 10 ** len(part))
    return -number if match["sign"] == "-" else number, (match["unit"] or "").replace(" ", "").lower()


def quantity(text: str, factors: Mapping[str, Fraction], accepted: str) -> tuple[Fraction, str]:
    """The number times the factor of its unit, and the unit; "" in ``factors`` is the bare number."""
    line = tidy(text, accepted)
    found = split_unit(line)
    if found is None:
        raise EntryError(no_number(line), accepted)
    number, unit = found
    if unit not in factors:
        raise EntryError(odd_unit(line, unit), accepted)
    return number * factors[unit], unit


def kept_whole(exact: Fraction, text: str, kept: str, says: Callable[[int], Fraction | None]) -> int:
    """A figure in whole steps of what is kept; EntryError for one between two, which names them. ``kept`` are the steps
    in words, ``says`` gives the figure of so many of them, or None where that cannot be."""
    if exact.denominator == 1:
        return int(exact)
    near = [said for step in (floor(exact), floor(exact) + 1) if (said := says(step)) is not None]
    places = 1 if kept.startswith("tenths") else 2
    accepted = " or ".join(digits(each, places) for each in near)
    raise EntryError(f"{shown(text)}: {kept} are kept", f"{accepted} is accepted")


def has_letter_for_digit(line: str) -> bool:
    """Whether a letter that looks like a digit stands among the digits: 41o."""
    return re.search(_LETTER_FOR_DIGIT, line) is not None


def decimals(text: str) -> int:
    """How many digits stand behind the comma or point, zeros at the end included."""
    found = re.search("[.,]([0-9]*)", text)
    return len(found[1]) if found else 0


def no_number(line: str) -> str:
    """What is wrong with a line that is not a number."""
    for pattern, wrong in _WRONG:
        if pattern.search(line):
            return f"{shown(line)} {wrong}"
    return f"{shown(line)} is not a plain number"


def odd_unit(line: str, unit: str) -> str:
    """What is wrong with a typed number whose unit is not known here."""
    if re.search(r"\d", unit) or has_letter_for_digit(line):
        return no_number(line)
    return f"{shown(line)} has an unknown unit"
