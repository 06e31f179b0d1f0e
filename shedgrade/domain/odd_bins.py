"""A weighing unlike the others: most often a digit that slipped, or a part bin that nobody marked."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median_high, median_low

# Common practice: field bins of one type hold within some tenths of each other; a slipped digit changes far more.
_LIGHTEST, _HEAVIEST = Fraction(1, 2), Fraction(3, 2)
# Of fewer bins than these nobody can say which of them is the odd one, if others are known.
_ENOUGH = 3


@dataclass(frozen=True, slots=True)
class BinsNet:
    """Bins of one type weighed together: how many, their net in grams, and whether one of them is a part bin."""

    bins: int
    net_g: Fraction
    part: bool = False


@dataclass(frozen=True, slots=True)
class Odd:
    """How a weighing is unlike: ``lighter`` or heavier, than the bins beside it or (``usual``) than those before."""

    lighter: bool
    usual: bool


def odd(weighed: BinsNet, others: Sequence[BinsNet], usual: Sequence[BinsNet]) -> Odd | None:
    """Whether full bins hold under half, or any bins over one and a half times, of what a bin of their type holds.

    ``others`` came with them, ``usual`` came before; a part bin weighed with full ones is taken as half full. Of an
    even number of bins the middle one that speaks for the weighing counts.
    """
    beside, before = _full(others), _full(usual)
    if before and len(beside) < _ENOUGH:
        beside = []
    for nets, is_usual in ((beside, False), (before, True)):
        if nets and _too_light(weighed, nets):
            return Odd(lighter=True, usual=is_usual)
        if nets and _too_heavy(weighed, nets):
            return Odd(lighter=False, usual=is_usual)
    return None


def _too_light(weighed: BinsNet, nets_g: Sequence[Fraction]) -> bool:
    full_bins = weighed.bins - weighed.part
    return weighed.net_g < full_bins * _LIGHTEST * median_low(nets_g)


def _too_heavy(weighed: BinsNet, nets_g: Sequence[Fraction]) -> bool:
    return weighed.net_g > weighed.bins * _HEAVIEST * median_high(nets_g)


def _full(weighed: Sequence[BinsNet]) -> list[Fraction]:
    """What each full bin holds."""
    return [each.net_g / (each.bins - Fraction(each.part, 2)) for each in weighed for _ in range(each.bins - each.part)]
