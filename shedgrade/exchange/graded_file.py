"""A file's fruit with their verdicts, and what they come to."""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.grading.facts import NOTHING_SAID, Load
from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.units import digits, say_percent
from shedgrade.exchange.load_options import load_words
from shedgrade.exchange.sample_csv import FileFruit


@dataclass(frozen=True, slots=True)
class GradedFile:
    """A file's fruit with their verdicts, in the order of the file, and what was said of their load."""

    spec: Spec
    tray: TrayType | None
    fruit: tuple[tuple[FileFruit, Verdict], ...]
    load: Load = NOTHING_SAID

    @property
    def by_class(self) -> list[tuple[str, int]]:
        """Every class by name, best first, then "No class", with how many fruit make it."""
        found = Counter(verdict.class_id for _, verdict in self.fruit)
        return [*((each.name, found[each.id]) for each in self.spec.classes), ("No class", found[None])]

    @property
    def not_judged(self) -> list[tuple[str, int]]:
        """The limits that were not judged, and for how many fruit."""
        return list(Counter(limit.limit_name for _, verdict in self.fruit for limit in verdict.not_judged).items())

    def totals(self) -> list[str]:
        """The totals in words: how many fruit, the share of each class, what was not judged."""
        count = len(self.fruit)
        shares = [f"{name} {digits(n)} ({say_percent(Fraction(n, count), 1)})" for name, n in self.by_class]
        said = load_words(self.load, self.spec)
        missing = [f"{name} (of {digits(n)} fruit)" for name, n in self.not_judged]
        return [
            f"{digits(count)} fruit under {self.spec.title}",
            *([f"Said of the load: {', '.join(said)}"] if said else []),
            f"By class: {', '.join(shares)}",
            *([f"Not judged: {', '.join(missing)}"] if missing else []),
            *([self.by_lot] if self.by_lot else []),
        ]

    @property
    def by_lot(self) -> str:
        """What of the spec is asked of lots and packages, not of single fruit, and where it is; "" for nothing."""
        asks_packages = any(limit.level is Level.PACKAGE for limit in self.spec.limits)
        asked = [*(["tolerances"] if self.spec.tolerances else []), *(["package limits"] if asks_packages else [])]
        return f"The {' and '.join(asked)} of the spec are judged by: shedgrade lot" if asked else ""
