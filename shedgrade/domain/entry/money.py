"""Amounts of money as people type them."""

from fractions import Fraction

from shedgrade.domain.entry.errors import EntryError, shown
from shedgrade.domain.entry.numbers import decimals, quantity
from shedgrade.domain.units import minor_digits, say_money

_MOST_MINOR = 10**12


def money(text: str, currency: str) -> int:
    """An amount in the currency's smallest unit, not negative, with no more decimals than the currency has.

    The currency's own code may stand behind. EntryError.
    """
    places = minor_digits(currency)
    accepted = f"an amount such as {say_money(2150, currency)} is accepted"
    amount, _ = quantity(text, dict.fromkeys(["", currency.lower()], Fraction(1)), accepted)
    if decimals(text) > places:  # counted as written: "1,000" may well mean a thousand
        allowed = f"up to {places} decimals" if places else "no decimals"
        raise EntryError(f"{shown(text)} has too many decimals", f"an amount in {currency} has {allowed}")
    minor = int(amount * 10**places)
    if minor < 0:
        raise EntryError(f"{shown(text)} is less than nothing", accepted)
    if minor > _MOST_MINOR:
        raise EntryError(
            f"{shown(text)} is too much", f"an amount up to {say_money(_MOST_MINOR, currency)} is accepted"
        )
    return minor
