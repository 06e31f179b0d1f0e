"""Trays filled with so many fruit of a band, in random order: how many weigh too little, and whether a rule holds.

The weights of a tray are those of one fruit put together ``count`` times. That is worked out as it is, by a Fourier
transform, not by a bell curve: a band is cut off at its edges and, at the top, lopsided, so that with 10 fruit a bell
curve with the same mean and spread is wrong by a point of the share at 2 %, and several-fold at 1 in 10,000.
Weights between two units (1 g) count partly as the one, partly as the other, so that the mean stays and the s.d. of a
tray of 16 grows by less than 2 g in 50; grams are exact. Both keep heavier fruit heavier, so that moving either edge
of a band up never makes a short tray likelier. What cannot be short, or must be, is said to be so exactly.
"""

from dataclasses import dataclass
from math import ceil, sqrt
from typing import TYPE_CHECKING

from shedgrade.domain.trays.breaks import CountPack, Packing
from shedgrade.domain.trays.fill_rule import NEVER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy import complex128
    from numpy.typing import NDArray

    from shedgrade.domain.trays.spread import Floats, Spread

_ROUNDING = 1e-9  # what the arithmetic of a chance may be off


def short_chances(spread: "Spread", count: int, band: tuple[int, int], under_dg: "Sequence[int]") -> list[float]:
    """The chances that ``count`` fruit of the band weigh less than each of these decigrams. The band holds fruit."""
    first_dg, masses = spread.masses(*band)
    under = [-((count * first_dg - limit) // spread.unit_dg) for limit in under_dg]
    heaviest = count * (len(masses) - 1)
    if max(under) <= 0:
        return [0.0] * len(under)
    trays = together(masses, count)
    return [0.0 if end <= 0 else 1.0 if end > heaviest else float(trays[:end].sum()) for end in under]


def together(masses: "Floats", count: int) -> "Floats":
    """The shares by weight of ``count`` pieces drawn by these shares, from the lightest up, one every unit."""
    import numpy as np  # noqa: PLC0415

    size = count * (len(masses) - 1) + 1
    length = 1 << (size - 1).bit_length()
    return np.fft.irfft(_power(np.fft.rfft(masses, length), count), length)[:size].clip(0, 1)


@dataclass(frozen=True, slots=True)
class Demand:
    """A count's rule in decigrams at packing: lightest edge, mean weight of a fruit, shares of trays under a weight."""

    count: int
    edge_dg: float | None
    mean_dg: float | None
    under_dg: tuple[int, ...]
    most: tuple[float, ...]
    widest_dg: int | None

    @classmethod
    def of(cls, packing: Packing, pack: CountPack) -> "Demand":
        """What the rule of the count asks of its band.

        With a sizer that errs every fruit's part is lifted so far that even fruit that all read right on the edge fill
        a tray but once in 10,000.
        """
        from scipy.special import ndtri  # noqa: PLC0415 - scipy is slow to import

        part = packing.part_dg(pack)
        lift = -float(ndtri(float(NEVER))) * float(packing.sizer.error_dg) / sqrt(pack.count)
        return cls(
            pack.count,
            float(part) + lift if pack.rule.every_fruit else None,
            float(part) if pack.rule.mean else None,
            tuple(ceil(packing.full_dg(pack, short.short_by_g)) for short in pack.rule.short),
            tuple(float(short.most) for short in pack.rule.short),
            pack.widest_dg,
        )


def holds(spread: "Spread", demand: Demand, low: int, high: int) -> bool:
    """Whether trays of this band hold the rule of their count; never where the band gets no fruit."""
    if spread.is_empty(low, high) or not keeps_mean(spread, demand, low, high):
        return False
    if not demand.under_dg:
        return True
    chances = short_chances(spread, demand.count, (low, high), demand.under_dg)
    return all(chance <= most + _ROUNDING for chance, most in zip(chances, demand.most, strict=True))


def keeps_mean(spread: "Spread", demand: Demand, low: int, high: int) -> bool:
    """Whether the band's edge and the mean of its fruit are as heavy as the rule asks. The band holds fruit."""
    if demand.edge_dg is not None and spread.edge_dg(low) < demand.edge_dg - _ROUNDING:
        return False
    return demand.mean_dg is None or spread.mean_dg(low, high) >= demand.mean_dg - _ROUNDING


def _power(base: "NDArray[complex128]", exponent: int) -> "NDArray[complex128]":
    """A whole power by squaring: numpy's own is by logarithm, ten times slower."""
    result = None
    while exponent:
        if exponent & 1:
            result = base if result is None else result * base
        exponent >>= 1
        base = base * base if exponent else base
    assert result is not None
    return result
