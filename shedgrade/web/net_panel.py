"""A net as pages show it: line by line, with as many decimals as it takes to add up on paper."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from shedgrade.domain.net import IntakeNet, Tare
from shedgrade.reports.net import WeighedBins, exact_places, net_of, tares_used, weighed_bins
from shedgrade.storage.intake import ConsignmentWhole


@dataclass(frozen=True, slots=True)
class NetPanel:
    """The lines of a net, before it is stored or after. ``marks`` say, by the place of a line, what is odd about it;
    once stored nothing is."""

    net: IntakeNet
    lines: tuple[WeighedBins, ...]
    marks: Mapping[int, str] = field(default_factory=dict)

    @property
    def tares(self) -> tuple[Tare, ...]:
        """The dry tares that were taken off."""
        return tares_used(self.net)

    @property
    def places(self) -> int:
        """Decimals of a kilogram for every figure of the panel."""
        figures = [figure for line in self.net.groups for figure in (line.group.gross_g, line.tare_g)]
        figures += [figure for line in self.net.wet for figure in (line.tare.total_g, line.correction_g)]
        return exact_places(figures)

    @property
    def part_bins(self) -> int:
        """How many of the bins are part bins."""
        return sum(len(line.parts) for line in self.lines)

    @property
    def shown(self) -> str:
        """What the page showed, in few letters: a form carries it, so that another net is never stored unseen."""
        return " ".join(f"{line.group.bins}:{line.net_g}" for line in self.net.groups)


def panel_of(whole: ConsignmentWhole) -> NetPanel:
    """The net of a stored consignment."""
    net = net_of(whole)
    return NetPanel(net, weighed_bins(whole, net))


def bin_count_words(grower_bins: int | None, bins: int) -> str:
    """The grower's own count beside the shed's, in a sentence; "" if the grower gave none."""
    if grower_bins is None:
        return ""
    if grower_bins == bins:
        return f"The grower's own count was {grower_bins}, the shed's {bins}."
    apart = f"{abs(grower_bins - bins)} {'more' if grower_bins > bins else 'fewer'}"
    return f"The grower's own count was {grower_bins}, {apart} than the shed's {bins}."
