"""Rates and rules the shed sets for itself: each a dated row with a note of where it comes from, never a constant."""

from collections.abc import Callable
from dataclasses import dataclass

from shedgrade.domain import entry


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing the shed can set: ``default`` holds until a row is stored, ``source`` says where that comes from."""

    key: str
    name: str
    unit: str
    default: int
    source: str
    least: int
    most: int

    @property
    def parse(self) -> Callable[[str], int]:
        """Reads what was typed; EntryError outside the range."""
        return lambda text: entry.whole(text, least=self.least, most=self.most)


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
