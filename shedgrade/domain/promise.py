"""What can be promised to a buyer: trays of a class and count out of several consignments, less what is held.

The promise is the lower bound of the expected trays, taken one-sided at 90 %, the same way as every range of a
pack-out: the ratio estimate over the draws of each consignment with t on draws - 1 (:mod:`.sampling.estimate`).
Consignments are sampled apart from each other, so their sum is a sum of independent estimates: variances are added,
the degrees of freedom are Welch and Satterthwaite's (:mod:`.sampling.totals`). The bound is rounded down to whole
trays, then what standing quotes hold is taken off. Each line holds nine times in ten by itself, so a quote of
several lines holds as a whole less often than that.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.sampling.totals import total
from shedgrade.domain.trays.counts import TrayType, count_bands
from shedgrade.domain.units import round_half_up

CONFIDENCE = 0.90
NO_TRAYS = Fraction(0)


@dataclass(frozen=True, slots=True)
class Promise:
    """Trays of one class and count: ``expected`` and ``certain`` before, ``likely`` and ``promised`` after what other
    quotes hold (``held``). All whole but ``expected``; none is negative."""

    expected: Fraction
    certain: int
    held: int

    @property
    def promised(self) -> int:
        """The most that can be promised now."""
        return max(0, self.certain - self.held)

    @property
    def likely(self) -> int:
        """What is likely there beside what is held: never less than what can be promised."""
        return max(0, round_half_up(self.expected) - self.held)

    def unsure_of(self, trays: int) -> int:
        """How many of the trays offered go beyond what can be promised."""
        return max(0, trays - self.promised)

    def unlikely_of(self, trays: int) -> int:
        """How many of the trays offered go beyond even what is likely there."""
        return max(0, trays - self.likely)


@dataclass(frozen=True, slots=True)
class Held:
    """Trays of a class and count that a standing quote holds, and the tray type they are packed in."""

    tray: TrayType
    class_id: str
    count: int
    trays: int


def promise(estimates: Sequence[Estimate], held: int = 0) -> Promise:
    """What the consignments give together, each with its one-sided estimate; nothing where there is no estimate.

    ValueError for two-sided estimates, whose bound is another one.
    """
    if not estimates:
        return Promise(NO_TRAYS, 0, held)
    if not all(estimate.one_sided for estimate in estimates):
        raise ValueError("a promise needs one-sided estimates")
    together = total(estimates)
    return Promise(together.value, floor(together.low or 0), held)


def held_from(tray: TrayType, class_id: str, count: int, holds: Iterable[Held]) -> int:
    """How many trays of this class and count are spoken for.

    A hold of the same tray type counts tray for tray. One of another tray type holds fruit of certain weights: it
    is taken off every count here that packs some of these weights, fruit for fruit and rounded up to trays, so that
    no fruit is promised twice (some may be held back that need not be).
    """
    return sum(_taken_off(tray, count, hold) for hold in holds if hold.class_id == class_id)


def shared_out(trays: int, promised: Sequence[int], likely: Sequence[int], room: Sequence[int]) -> tuple[int, ...]:
    """Whole trays of a line put on its consignments, in order.

    First up to what each can promise by itself, then up to what is likely there, then up to what it has room for;
    each step in proportion where it holds more than is needed. What finds no room stays unshared.
    """
    shares = [0] * len(room)
    for caps in (promised, likely, room):
        free = [max(0, min(cap, most) - share) for cap, most, share in zip(caps, room, shares, strict=True)]
        step = _in_proportion(min(trays - sum(shares), sum(free)), free)
        shares = [share + more for share, more in zip(shares, step, strict=True)]
    return tuple(shares)


def room_for(tray: TrayType, net_g: int, holds: Iterable[Held]) -> int:
    """The most trays that a consignment of this net weight could fill if all its fruit went in, less what is held.

    Fruit of a count reach the label weight of its tray, so a tray never takes less than that.
    """
    held_g = sum(hold.trays * hold.tray.net_g for hold in holds)
    return max(0, (net_g - held_g) // tray.net_g)


def _taken_off(tray: TrayType, count: int, hold: Held) -> int:
    if hold.tray.id == tray.id:
        return hold.trays if hold.count == count else 0
    return ceil(Fraction(hold.trays * hold.count, count)) if _share_weights(tray, count, hold) else 0


def _share_weights(tray: TrayType, count: int, hold: Held) -> bool:
    mine = [band for band in count_bands(tray) if band.count == count]
    theirs = [band for band in count_bands(hold.tray) if band.count == hold.count]
    return any(
        _reaches(one.heaviest_dg, other.lightest_dg) and _reaches(other.heaviest_dg, one.lightest_dg)
        for one in mine
        for other in theirs
    )


def _reaches(heaviest_dg: int | None, lightest_dg: int) -> bool:
    return heaviest_dg is None or heaviest_dg >= lightest_dg


def _in_proportion(trays: int, parts: Sequence[int]) -> list[int]:
    """Whole trays in proportion to the parts, the largest remainders rounded up; never more than the part itself."""
    whole = sum(parts)
    if not whole:
        return [0] * len(parts)
    shares = [trays * part // whole for part in parts]
    by_remainder = sorted(range(len(parts)), key=lambda place: (-(trays * parts[place] % whole), place))
    for place in by_remainder[: trays - sum(shares)]:
        shares[place] += 1
    return shares
