"""Prices that are likely a slip: far from those in force, or of the other sign."""

from datetime import date
from fractions import Fraction

from shedgrade.actions.prices import PriceFacts
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import digits, say_amount, say_day
from shedgrade.storage.markets import Prices
from shedgrade.web.price_table import outlet_field, tray_field
from shedgrade.web.second_look import SecondLook

# Ours: prices of fruit double and halve over a season, but a point in the wrong place makes ten times as much.
_FAR = 3


def doubt_prices(look: SecondLook, facts: PriceFacts, in_force: Prices | None, spec: Spec) -> None:
    """Ask about every price that the list in force makes doubtful."""
    if in_force is None:
        return
    outlets = {outlet.id: outlet.name for outlet in spec.outlets}
    for (tray, class_id, count), minor in facts.tray_minor.items():
        before = in_force.tray_minor.get((tray, class_id, count))
        if doubt := _doubt(minor, before, in_force.currency):
            name = f"{spec.grade_class(class_id).name} {count}s"
            look.ask(tray_field(tray, class_id, count), str(minor), f"{name}: {doubt}")
    for outlet_id, minor in facts.outlet_kg_minor.items():
        if doubt := _doubt(minor, in_force.outlet_kg_minor.get(outlet_id), in_force.currency):
            look.ask(outlet_field(outlet_id), str(minor), f"{outlets[outlet_id]}: {doubt}")


def doubt_day(look: SecondLook, facts: PriceFacts, in_force: Prices | None, today: date) -> None:
    """Ask about a list that takes the place of one by which fruit were valued on days gone by."""
    if in_force is not None and facts.valid_from == in_force.valid_from != today:
        day = say_day(facts.valid_from)
        sentence = f"The list from {day} is in force; this one takes its place, for all fruit received since then."
        look.ask("valid_from", day, sentence)


def _doubt(minor: int, before: int | None, currency: str) -> str:
    """What makes the price doubtful; "" for nothing."""
    if not before or Fraction(1, _FAR) <= Fraction(minor, before) <= _FAR:
        return ""
    return f"{say_amount(minor, currency)} {_against(Fraction(minor, before), say_amount(before, currency))}"


def _against(ratio: Fraction, before: str) -> str:
    if ratio < 0:
        return f"would be paid the other way round: {before} is in force."
    if ratio > 1:
        return f"is {digits(ratio, 1, trim=True)} times the {before} in force."
    return f"is less than a third of the {before} in force."
