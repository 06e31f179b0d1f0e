"""Pack-out by the trays packed beside pack-out by the sample: whether their difference needs another cause than which
fruit happened to be drawn."""

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import hypot

from shedgrade.domain.sampling.estimate import Estimate


class Verdict(Enum):
    """What can be said of a difference."""

    CHANCE = "which fruit were drawn explains it"
    MORE = "more than chance"
    NOT_TOLD = "the sample has no range"


@dataclass(frozen=True, slots=True)
class Against:
    """Both pack-outs as shares of the received net; ``difference`` is packed less sampled, ``reach`` how large on that
    side chance alone makes it with the estimates' confidence, None where nobody can say."""

    by_trays: Fraction
    by_sample: Estimate
    reach: Fraction | None

    @property
    def difference(self) -> Fraction:
        """Packed less sampled."""
        return self.by_trays - self.by_sample.value

    @property
    def verdict(self) -> Verdict:
        """Whether it is more than chance makes it."""
        if self.reach is None:
            return Verdict.NOT_TOLD
        return Verdict.MORE if abs(self.difference) > self.reach else Verdict.CHANCE


def against(by_trays: Fraction, trays_off: Fraction, by_sample: Estimate) -> Against:
    """Hold both against each other. ``trays_off`` is half the range of ``by_trays``, 0 where every tray was weighed.

    The two are wrong apart from each other, so their half ranges are added as squares (a textbook rule, from memory).
    """
    side = by_sample.high if by_trays > by_sample.value else by_sample.low
    if side is None:
        return Against(by_trays, by_sample, None)
    return Against(by_trays, by_sample, Fraction(hypot(float(abs(side - by_sample.value)), float(trays_off))))
