"""What a label promises of a tray: a net weight, or a number of fruit."""

from dataclasses import dataclass
from enum import StrEnum

from shedgrade.domain import units


class LabelledBy(StrEnum):
    """What the label states. A pack that states both has two labels, each checked by itself."""

    WEIGHT = "net weight"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Label:
    """A figure on a tray: grams of net weight, or a number of fruit. Everything said of it is in its unit."""

    figure: int
    by: LabelledBy = LabelledBy.WEIGHT

    def __post_init__(self) -> None:
        """Refuse a label that promises nothing; ValueError."""
        if self.figure < 1:
            raise ValueError(f"a label says more than nothing: a {self.by} over 0")

    def says(self) -> str:
        """For people: "7 kg", "18 fruit"."""
        if self.by is LabelledBy.COUNT:
            return self.say(self.figure)
        return units.say_mass(self.figure, 3, trim=True) if self.figure >= units.G_PER_KG else self.say(self.figure)

    def say(self, amount: units.Exact, places: int = 1) -> str:
        """An amount in its unit, decimals only where there are any: "105.5 g", "1 fruit"."""
        return (
            f"{units.digits(amount, places, trim=True)}{units.THIN}{'g' if self.by is LabelledBy.WEIGHT else 'fruit'}"
        )
