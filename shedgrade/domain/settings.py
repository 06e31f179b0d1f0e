"""Rates and rules the shed sets for itself: each a dated row with a note of where it comes from, never a constant."""

from calendar import isleap
from dataclasses import dataclass
from datetime import MAXYEAR, date

from shedgrade.domain import entry
from shedgrade.domain.units import THIN


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing the shed can set: ``default`` holds until a row is stored, ``source`` says where that comes from.
    ``name`` is a sentence that ``say`` completes."""

    key: str
    name: str
    unit: str
    default: int
    source: str
    least: int
    most: int

    def parse(self, text: str) -> int:
        """What was typed, as a value of this rule; EntryError outside the range."""
        return entry.whole(text, least=self.least, most=self.most)

    def say(self, value: int) -> str:
        """A value with its unit: 6 years, 1 year."""
        return f"{value}{THIN}{self.unit if value != 1 else self.unit.removesuffix('s')}"


KEEPING_YEARS = Rule(
    "keeping-years",
    "Trading records are kept",
    "years",
    6,
    "Horticulture trading statements and agreements in Australia: 6 years; farm-assurance codes ask for less. "
    "Take the longest that applies to you.",
    1,
    99,
)
IDLE_MINUTES = Rule(
    "idle-minutes", "A shed tablet locks when nobody touches it for", "minutes", 10, "our own choice", 1, 240
)
SHIFT_HOURS = Rule(
    "shift-hours", "A PIN typed on a shed tablet is good for", "hours", 12, "our own choice: a long shift", 1, 24
)
SIGN_IN_DAYS = Rule(
    "sign-in-days", "A browser signed in by password stays so for", "days", 30, "our own choice", 1, 365
)

RULES = {rule.key: rule for rule in (KEEPING_YEARS, IDLE_MINUTES, SHIFT_HOURS, SIGN_IN_DAYS)}


def years_after(day: date, years: int) -> date:
    """The same day of a later year; 1 March where that year has no 29 February, so that nothing ends a day early."""
    year = min(day.year + years, MAXYEAR)
    if (day.month, day.day) == (2, 29) and not isleap(year):
        return date(year, 3, 1)
    return day.replace(year=year)
