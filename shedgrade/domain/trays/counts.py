"""How many fruit of a weight fill a tray.

No official table of weights per count was found for mango. What was read (Journal of Applied Packaging Research 6(2),
4 kg mango tray design, abstract) is 12 fruit to 5 kg, 15 to 3.75 kg, 14 to slightly under 4 kg: net weight divided by
count. So a fruit belongs to the smallest count at which that many fruit of its weight reach the net weight, compared
exactly: 12 fruit of 416.6 g are 4.9992 kg and do not fill 5 kg.
"""

from dataclasses import dataclass
from enum import StrEnum

from shedgrade.domain import units


class Misfit(StrEnum):
    """Why a fruit has no count on a tray: a result of its own, not a fault of quality."""

    TOO_LIGHT = "too light"
    TOO_HEAVY = "too heavy"

    @property
    def says(self) -> str:
        """The misfit as a person reads it."""
        return "too small for this tray" if self is Misfit.TOO_LIGHT else "too big for this tray"


@dataclass(frozen=True, slots=True)
class TrayType:
    """A pack with a net weight and the counts it is packed in, ascending (big fruit first).

    ``heaviest_dg`` is the heaviest fruit that still goes in; None means there is no such end.
    """

    id: str
    name: str
    net_g: int
    counts: tuple[int, ...]
    heaviest_dg: int | None = None

    def __post_init__(self) -> None:
        """Refuse a tray that could not be filled; ValueError."""
        if self.net_g <= 0:
            raise ValueError(f"a tray of {self.net_g} g cannot be filled: the net weight must be over 0 g")
        if not self.counts or self.counts[0] < 1 or list(self.counts) != sorted(set(self.counts)):
            raise ValueError(f"counts {self.counts}: give each count once, smallest number first, from 1 up")
        if self.heaviest_dg is not None and self.heaviest_dg * self.counts[-1] < self.net_g * units.DG_PER_G:
            raise ValueError(f"no fruit up to {units.say_weight(self.heaviest_dg)} fills this tray")


@dataclass(frozen=True, slots=True)
class CountResult:
    """The count of one fruit, or why it has none: exactly one of the two is given."""

    count: int | None
    misfit: Misfit | None = None

    def says(self) -> str:
        """For people: "count 16" or "too small for this tray"."""
        return self.misfit.says if self.misfit else f"count {self.count}"


@dataclass(frozen=True, slots=True)
class CountBand:
    """The weights of one count, both ends included; ``heaviest_dg`` None means no end."""

    count: int
    lightest_dg: int
    heaviest_dg: int | None


def count_for(tray: TrayType, weight_dg: int) -> CountResult:
    """The smallest count at which fruit of this weight reach the tray's net weight, or why there is none."""
    if tray.heaviest_dg is not None and weight_dg > tray.heaviest_dg:
        return CountResult(None, Misfit.TOO_HEAVY)
    net_dg = tray.net_g * units.DG_PER_G
    for count in tray.counts:
        if weight_dg * count >= net_dg:
            return CountResult(count)
    return CountResult(None, Misfit.TOO_LIGHT)


def count_bands(tray: TrayType) -> tuple[CountBand, ...]:
    """The weights of each count, big fruit first; a count that the heaviest fruit cannot fill is left out."""
    bands: list[CountBand] = []
    heaviest = tray.heaviest_dg
    for count in tray.counts:
        lightest = -(-tray.net_g * units.DG_PER_G // count)
        if heaviest is None or lightest <= heaviest:
            bands.append(CountBand(count, lightest, heaviest))
            heaviest = lightest - 1
    return tuple(bands)
