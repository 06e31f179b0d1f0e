"""Rates and rules the shed sets for itself: each a dated row with a note of where it comes from, never a constant."""

from abc import ABC, abstractmethod
from calendar import isleap
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import MAXYEAR, date
from typing import Generic, TypeVar

from shedgrade.domain import entry
from shedgrade.domain.trays.net_weight.rule_sets import RULE_SETS
from shedgrade.domain.units import THIN

V = TypeVar("V")
OWN_CHOICE = "our own choice"


@dataclass(frozen=True, slots=True)
class Rule(ABC, Generic[V]):
    """One thing the shed can set: ``default`` holds until a row is stored, ``source`` says where that comes from.
    ``name`` is a sentence that ``say`` completes."""

    key: str
    name: str
    default: V
    source: str

    @property
    @abstractmethod
    def accepts(self) -> str:
        """What can be typed, in a sentence."""

    @property
    def unit(self) -> str:
        """What stands behind the value; "" for words."""
        return ""

    @property
    def needs_source(self) -> bool:
        """Whether it must be said where a value comes from; if not, and nothing is said, it is OWN_CHOICE."""
        return True

    @abstractmethod
    def parse(self, text: str) -> V:
        """What was typed, as a value of this rule; ValueError, whose text is the sentence shown."""

    @abstractmethod
    def read(self, stored: str) -> V:
        """A value as it is stored."""

    @abstractmethod
    def say(self, value: V) -> str:
        """A value as people say it."""

    def say_stored(self, stored: str) -> str:
        """A stored value as people say it."""
        return self.say(self.read(stored))

    def say_default(self) -> str:
        """What holds until another is set, as people say it."""
        return self.say(self.default)


@dataclass(frozen=True, slots=True)
class NumberRule(Rule[int]):
    """A whole number of units, within bounds; ``units`` is the word for several."""

    units: str
    least: int
    most: int

    @property
    def accepts(self) -> str:
        """From 1 to 99."""
        return f"From {self.least} to {self.most}."

    @property
    def unit(self) -> str:
        """The word for several."""
        return self.units

    def parse(self, text: str) -> int:
        """EntryError outside the bounds."""
        return entry.whole(text, least=self.least, most=self.most)

    def read(self, stored: str) -> int:
        """The number."""
        return int(stored)

    def say(self, value: int) -> str:
        """A value with its unit: 6 years, 1 year."""
        return f"{value}{THIN}{self.units if value != 1 else self.units.removesuffix('s')}"


@dataclass(frozen=True, slots=True)
class WordsRule(Rule[str]):
    """A name, in at most ``longest`` letters."""

    longest: int

    @property
    def accepts(self) -> str:
        """At most 80 letters."""
        return f"At most {self.longest} letters."

    @property
    def needs_source(self) -> bool:
        """No law and no buyer says what a shed is called."""
        return False

    def parse(self, text: str) -> str:
        """The words, spaces made plain; ValueError if they are too many."""
        words = " ".join(text.split())
        if len(words) > self.longest:
            raise ValueError(f"That is {len(words)} letters long; at most {self.longest} fit.")
        return words

    def read(self, stored: str) -> str:
        """The words."""
        return stored

    def say(self, value: str) -> str:
        """The words."""
        return value


@dataclass(frozen=True, slots=True)
class ChoiceRule(Rule[str]):
    """One of several things that have names, each by its id."""

    among: Mapping[str, str]

    @property
    def accepts(self) -> str:
        """Every name."""
        return f"One of: {'; '.join(self.among.values())}."

    def parse(self, text: str) -> str:
        """The id of what was typed, by its name or its id; ValueError if it is none of them."""
        typed = " ".join(text.split()).casefold()
        found = [key for key, name in self.among.items() if typed in {key.casefold(), name.casefold()}]
        if not found:
            raise ValueError(f"{self.accepts} Type one of them.")
        return found[0]

    def read(self, stored: str) -> str:
        """The id."""
        return stored

    def say(self, value: str) -> str:
        """The name."""
        return self.among.get(value, value)


SHED_NAME = WordsRule(
    "shed-name", "The shed is called", "The shed", "the name the program was started with (SHEDGRADE_SHED)", 80
)
KEEPING_YEARS = NumberRule(
    "keeping-years",
    "Trading records are kept",
    6,
    "Horticulture trading statements and agreements in Australia: 6 years; farm-assurance codes ask for less. "
    "Take the longest that applies to you.",
    "years",
    1,
    99,
)
IDLE_MINUTES = NumberRule(
    "idle-minutes", "A shed tablet locks when nobody touches it for", 10, OWN_CHOICE, "minutes", 1, 240
)
SHIFT_HOURS = NumberRule(
    "shift-hours", "A PIN typed on a shed tablet is good for", 12, f"{OWN_CHOICE}: a long shift", "hours", 1, 24
)
SIGN_IN_DAYS = NumberRule(
    "sign-in-days", "A browser signed in by password stays so for", 30, OWN_CHOICE, "days", 1, 365
)
SAMPLE_FRUIT = NumberRule("sample-fruit", "A sample at the bench is full at", 50, OWN_CHOICE, "fruit", 1, 1000)
UNACCOUNTED = NumberRule(
    "unaccounted",
    "The mass balance of a run is marked where more is unaccounted for than",
    2,
    "a figure to start with, from memory: keep balances for some weeks and set your own",
    "%",
    1,
    50,
)
QC_MINUTES = NumberRule("qc-minutes", "A sample of a running line is due every", 60, OWN_CHOICE, "minutes", 5, 600)
QC_BINS = NumberRule("qc-bins", "A sample of a running line is also due every", 20, OWN_CHOICE, "bins", 1, 500)
SIZER_STEP = NumberRule("sizer-step", "The sizer sets breaks in steps of", 1, OWN_CHOICE, "g", 1, 50)
SIZER_ERROR = NumberRule(
    "sizer-error",
    "Readings of one fruit by the sizer scatter (standard deviation) by",
    0,
    "not known yet: weigh 20 fruit twice on the page of size breaks",
    "g",
    0,
    50,
)
NO_SECOND_LANGUAGE = "none"
CARD_LANGUAGE = ChoiceRule(
    "card-language",
    "The second language of packing cards is",
    NO_SECOND_LANGUAGE,
    OWN_CHOICE,
    {word: word for word in (NO_SECOND_LANGUAGE, "French", "Spanish")},
)

LABEL_RULES = ChoiceRule(
    "label-rules",
    "Trays are checked against their label by",
    "australia-2009",
    "a start: choose the rules of the country where the trays are sold",
    {rules.id: rules.name for rules in RULE_SETS.values()},
)
TRAY_OVER = NumberRule(
    "tray-over", "A tray is called RIGHT up to this much over its label", 150, OWN_CHOICE, "g", 0, 2000
)
SCALE_STEP = NumberRule("scale-step", "The packers' scales read in steps of", 5, OWN_CHOICE, "g", 1, 500)
DRYING = NumberRule("drying", "Of each tray this much is taken off for drying", 0, OWN_CHOICE, "g", 0, 500)

AnyRule = NumberRule | WordsRule | ChoiceRule
RULES: dict[str, AnyRule] = {
    rule.key: rule
    for rule in (
        SHED_NAME,
        KEEPING_YEARS,
        IDLE_MINUTES,
        SHIFT_HOURS,
        SIGN_IN_DAYS,
        SAMPLE_FRUIT,
        UNACCOUNTED,
        QC_MINUTES,
        QC_BINS,
        LABEL_RULES,
        TRAY_OVER,
        SCALE_STEP,
        DRYING,
        SIZER_STEP,
        SIZER_ERROR,
        CARD_LANGUAGE,
    )
}


def years_after(day: date, years: int) -> date:
    """The same day of a later year; 1 March where that year has no 29 February, so that nothing ends a day early."""
    year = min(day.year + years, MAXYEAR)
    if (day.month, day.day) == (2, 29) and not isleap(year):
        return date(year, 3, 1)
    return day.replace(year=year)
