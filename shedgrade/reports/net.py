"""The net of a consignment: every weighing's gross, tare and net, and what wet empties changed in it."""

from collections.abc import Iterable
from dataclasses import dataclass

from shedgrade.domain.net import IntakeNet, NetLine, Tare, intake_net
from shedgrade.storage.intake import ConsignmentWhole


@dataclass(frozen=True, slots=True)
class WeighedBins:
    """One weighing: the bins that stood on the scale, by number, and what they weighed. ``parts`` are part bins."""

    numbers: tuple[int, ...]
    labels: tuple[str, ...]
    parts: tuple[int, ...]
    line: NetLine

    @property
    def words(self) -> str:
        """The bins as people say them: "Bin 1", "Bins 2–5"."""
        first, last = self.numbers[0], self.numbers[-1]
        return f"Bin {first}" if first == last else f"Bins {first}–{last}"

    @property
    def part_words(self) -> str:
        """Which of them are part bins, "" if none is."""
        if not self.parts:
            return ""
        return "part bin" if len(self.numbers) == 1 else f"bin {', '.join(map(str, self.parts))} a part bin"


def net_of(whole: ConsignmentWhole) -> IntakeNet:
    """The net by the tares the bins were received with, corrected by the wet empties weighed since; in grams."""
    return intake_net(whole.groups, whole.wet_tares)


def weighed_bins(whole: ConsignmentWhole, net: IntakeNet) -> tuple[WeighedBins, ...]:
    """The weighings of a consignment with the lines of its net."""
    found = []
    for weighing, line in zip(whole.weighings, net.groups, strict=True):
        bins = whole.bins_of(weighing)
        labels = tuple(each.label for each in bins if each.label)
        parts = tuple(each.number for each in bins if each.part)
        found.append(WeighedBins(tuple(each.number for each in bins), labels, parts, line))
    return tuple(found)


def tares_used(net: IntakeNet) -> tuple[Tare, ...]:
    """The dry tares that were taken off, each once, in the order of the weighings."""
    return tuple(dict.fromkeys(line.group.tare for line in net.groups))


def exact_places(masses_g: Iterable[int]) -> int:
    """The fewest decimals of a kilogram that show all these masses in full, so that a column adds up on paper."""
    masses = tuple(masses_g)
    return next(places for places in range(4) if all(mass * 10**places % 1000 == 0 for mass in masses))
