"""Prices as people type them into a form."""

from shedgrade.domain import entry
from shedgrade.domain.units import say_money

# What a column of the database holds on every engine, and far more than a tray of fruit costs in any currency.
_MOST_MINOR = 10**9
_MINUS = ("-", "\N{MINUS SIGN}")


def price(text: str, currency: str) -> int:
    """A price in minor units, not negative; ValueError, whose text is the sentence shown."""
    minor = entry.money(text, currency)
    if minor > _MOST_MINOR:
        most = say_money(_MOST_MINOR, currency)
        raise ValueError(f"{say_money(minor, currency)} is too much; a price up to {most} is accepted.")
    return minor


def kilogram_price(text: str, currency: str) -> int:
    """A price per kilogram in minor units; below zero where being rid of the fruit costs money. ValueError."""
    if text.strip().startswith(_MINUS):
        return -price(text.strip()[1:], currency)
    return price(text, currency)
