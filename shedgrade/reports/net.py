"""The net of a consignment: every weighing's gross, tare and net, and what wet empties changed in it."""

from shedgrade.domain.net import IntakeNet, intake_net
from shedgrade.storage.intake import ConsignmentWhole


def net_of(whole: ConsignmentWhole) -> IntakeNet:
    """The net by the tares the bins were received with, corrected by the wet empties weighed since; in grams."""
    return intake_net(whole.groups, whole.wet_tares)
