"""Prices that are likely a slip: far from those in force, or of the other sign."""

from datetime import date
from fractions import Fraction

from shedgrade.actions.prices import PriceFacts
from shedgrade.domain.units import digits, say_amount, say_day
from shedgrade.storage.markets import Prices
from shedgrade.web.price_table import outlet_field, tray_field
from shedgrade.web.second_look import SecondLook

# Ours: prices of fruit double and halve over a season, but a point in the wrong place makes ten times as much.
_FAR = 3


def doubt_prices(look: SecondLook, facts: PriceFacts, in_force: Prices | None) -> None:
    """Ask about every price that the list in force makes doubtful."""
    if in_force is None:
        return
    for place, minor in facts.tray_minor.items():
        _doubt(look, tray_field(*place), minor, in_force.tray_minor.get(place), in_force.currency)
    for outlet_id, minor in facts.outlet_kg_minor.items():
        _doubt(look, outlet_field(outlet_id), minor, in_force.outlet_kg_minor.get(outlet_id), in_force.currency)


def doubt_day(look: SecondLook, facts: PriceFacts, in_force: Prices | None, today: date) -> None:
    """Ask about a list that takes the place of one by which fruit were valued on days gone by."""
    if in_force is not None and facts.valid_from == in_force.valid_from != today:
        day = say_day(facts.valid_from)
        sentence = f"The list from {day} is in force; this one takes its place, for all fruit received since then."
        look.ask("valid_from", day, sentence)


def _doubt(look: SecondLook, name: str, minor: int, before: int | None, currency: str) -> None:
    if not before or minor == before:
        return
    ratio = Fraction(minor, before)
    if not Fraction(1, _FAR) <= ratio <= _FAR:
        look.ask(name, str(minor), f"{say_amount(minor, currency)} {_against(ratio, say_amount(before, currency))}")


def _against(ratio: Fraction, before: str) -> str:
    if ratio < 0:
        return f"is on the other side of nothing from the {before} in force."
    if ratio > 1:
        return f"is {digits(ratio, 1, trim=True)} times the {before} in force."
    return f"is less than a third of the {before} in force."
