"""The net of a consignment: every weighing's gross, tare and net, and what wet empties changed in it."""

from shedgrade.domain.net import BinGroup, IntakeNet, intake_net
from shedgrade.domain.net import Tare as MeanTare
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.tables import Tare


def net_of(whole: ConsignmentWhole) -> IntakeNet:
    """The net by the tares the bins were received with, corrected by the wet empties weighed since; in grams."""
    groups = []
    for weighing in whole.weighings:
        bins = whole.bins_of(weighing)
        groups.append(BinGroup(len(bins), weighing.gross_g, mean_tare(whole, bins[0].tare_id)))
    return intake_net(groups, (mean_tare(whole, row.tare_id) for row in whole.empties))


def mean_tare(whole: ConsignmentWhole, tare_id: int) -> MeanTare:
    """A tare of the consignment, as the arithmetic takes it."""
    tare = whole.tares[tare_id]
    return tare_of(tare, whole.bin_types[tare.bin_type_id].name)


def tare_of(tare: Tare, bin_type: str) -> MeanTare:
    """A stored tare, as the arithmetic takes it."""
    return MeanTare(bin_type, tare.weighed_on, tare.empties, tare.total_g, wet=tare.state == "wet")
