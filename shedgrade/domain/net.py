"""Net weight at intake: groups of bins weighed with their fruit, less the dated tare of their empties."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from shedgrade.domain.units import round_half_up


@dataclass(frozen=True, slots=True)
class Tare:
    """So many empties of one bin type, weighed together on a day, dry or wet."""

    bin_type: str
    weighed_on: date
    empties: int
    total_g: int
    wet: bool = False

    def __post_init__(self) -> None:
        """Refuse a tare of nothing."""
        if self.empties < 1 or self.total_g < 1:
            raise ValueError("a tare needs at least one empty bin, and a weight above 0 g")

    @property
    def mean_g(self) -> Fraction:
        """Grams of one empty, exact."""
        return Fraction(self.total_g, self.empties)


@dataclass(frozen=True, slots=True)
class BinGroup:
    """Bins of one type weighed together with their fruit; ``tare`` is the dry one in force that day."""

    bins: int
    gross_g: int
    tare: Tare

    def __post_init__(self) -> None:
        """Refuse groups that cannot be."""
        if self.bins < 1:
            raise ValueError("a group holds at least one bin")
        if self.tare.wet:
            raise ValueError("bins weighed with their fruit take off the dry tare; wet empties are a correction")
        if self.gross_g <= self.bins * self.tare.mean_g:
            raise ValueError("the bins with their fruit weigh no more than the empties would")


@dataclass(frozen=True, slots=True)
class NetLine:
    """One group: gross less tare is net, each in grams, rounded once."""

    group: BinGroup
    tare_g: int
    net_g: int


@dataclass(frozen=True, slots=True)
class WetLine:
    """What wet empties change in the net of their bin type: negative when they are heavier than the dry ones."""

    tare: Tare
    bins: int
    correction_g: int


@dataclass(frozen=True, slots=True)
class IntakeNet:
    """The net of an intake with every line that leads to it, in grams."""

    groups: tuple[NetLine, ...]
    wet: tuple[WetLine, ...]

    @property
    def bins(self) -> int:
        """Bins of all groups."""
        return sum(line.group.bins for line in self.groups)

    @property
    def gross_g(self) -> int:
        """Gross of all groups."""
        return sum(line.group.gross_g for line in self.groups)

    @property
    def tare_g(self) -> int:
        """Dry tare of all groups."""
        return sum(line.tare_g for line in self.groups)

    @property
    def net_before_wet_g(self) -> int:
        """Net by the dry tare."""
        return sum(line.net_g for line in self.groups)

    @property
    def correction_g(self) -> int:
        """What the wet empties take off (negative) or give back."""
        return sum(line.correction_g for line in self.wet)

    @property
    def net_g(self) -> int:
        """Net received: the sum of the rounded lines."""
        return self.net_before_wet_g + self.correction_g


def intake_net(groups: Sequence[BinGroup], wet_tares: Iterable[Tare] = ()) -> IntakeNet:
    """Work out the net, one wet correction a bin type: bins times (wet mean less dry mean), rounded once.

    ValueError for a wet tare of a bin type that no group has, for two of one type, or if nothing is left.
    """
    tares = tuple(wet_tares)
    if len({tare.bin_type for tare in tares}) != len(tares):
        raise ValueError("one wet tare a bin type: weigh the wet empties of a type together")
    net = IntakeNet(tuple(_net_line(group) for group in groups), tuple(_wet_line(groups, tare) for tare in tares))
    if groups and net.net_g <= 0:
        raise ValueError("the wet empties weigh more than all the fruit: check the wet tare")
    return net


def tare_in_force(tares: Iterable[Tare], bin_type: str, on: date) -> Tare | None:
    """The newest dry tare of the bin type that was weighed by that day, or None."""
    known = [tare for tare in tares if tare.bin_type == bin_type and not tare.wet and tare.weighed_on <= on]
    return max(known, key=lambda tare: tare.weighed_on, default=None)


def _net_line(group: BinGroup) -> NetLine:
    net_g = round_half_up(group.gross_g - group.bins * group.tare.mean_g)
    return NetLine(group, group.gross_g - net_g, net_g)


def _wet_line(groups: Sequence[BinGroup], wet: Tare) -> WetLine:
    mine = [group for group in groups if group.tare.bin_type == wet.bin_type]
    if not wet.wet or not mine:
        raise ValueError(f"no bins of this intake to correct by this tare of {wet.bin_type}")
    heavier = sum((group.bins * (wet.mean_g - group.tare.mean_g) for group in mine), Fraction(0))
    return WetLine(wet, sum(group.bins for group in mine), -round_half_up(heavier))
