"""Values that JSON holds and every browser reads exactly: whole numbers, pairs of them, words."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

_EXACT = 2**53
"""From here on a browser's number is no longer whole for sure; larger ones go as text."""

Plain = dict[str, Any]
End = tuple[int, int, bool] | None


def whole(number: int) -> int | str:
    """A whole number, as text where a browser would round it."""
    return number if abs(number) < _EXACT else str(number)


def pair(value: Fraction | int) -> list[int | str]:
    """Numerator and denominator."""
    exact = Fraction(value)
    return [whole(exact.numerator), whole(exact.denominator)]


def ends(low: End, high: End) -> Plain:
    """The ends of a bound that are there: numerator, denominator, whether the end itself is allowed."""
    return filled(low=_end(low), high=_end(high))


def filled(**given: Any) -> Plain:
    """Those that say something: what is None, False or empty is left out."""
    return {name: value for name, value in given.items() if _says(value)}


def _says(value: Any) -> bool:
    return value is not None and value is not False and (not isinstance(value, (str, list, Mapping)) or len(value) > 0)


def _end(end: End) -> list[int | str | bool] | None:
    return None if end is None else [whole(end[0]), whole(end[1]), end[2]]
