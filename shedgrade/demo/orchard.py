"""Trees that bear the demo's fruit: a seeded generator in which fruit resemble each other as they do in life.

Blocks differ, picks of a block differ a little, bins of a pick more, and the fruit of one tree most of all, because a
picker fills a bin from a few neighbouring trees. Without that likeness every range in the demo would be too narrow.
The sizes of the effects are ours: invented to look like a season, taken from no source.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, log
from random import Random

from shedgrade.domain.crop import Crop, Measured
from shedgrade.domain.grading.one import Defect, Fruit, blemish_surface_mm2
from shedgrade.domain.units import BP, DG_PER_G, MM2_PER_CM2

TREES_A_BIN = 5
# Standard deviations of the logarithm of weight ...
_PICK, _BIN, _TREE = 0.02, 0.025, 0.05
# ... and of the log-odds of having a fault.
_FAULT_BIN, _FAULT_TREE, _FAULT_SIZE = 0.35, 0.45, 0.55
_LARGEST_SHARE_OF_SURFACE = 0.6


@dataclass(frozen=True, slots=True)
class Fault:
    """How often a fruit has the fault, and its usual size in cm² or % (None where it is only there or not)."""

    chance: float
    size: float | None = None


@dataclass(frozen=True, slots=True)
class Bearing:
    """What a block bears at one pick; ``mean_g`` is the mean fruit weight, ``spread`` a share of it."""

    crop: Crop
    mean_g: float
    spread: float
    stages: Mapping[int, float]
    faults: Mapping[str, Fault]


@dataclass(frozen=True, slots=True)
class _Tree:
    size: float
    lean: float


def bins_of(bearing: Bearing, bins: int, each: int, random: Random) -> Iterator[tuple[Fruit, ...]]:
    """So many bins of one pick, each with so many fruit drawn from it."""
    pick = random.gauss(0, _PICK)
    for _bin in range(bins):
        size, lean = pick + random.gauss(0, _BIN), random.gauss(0, _FAULT_BIN)
        trees = [_Tree(size + random.gauss(0, _TREE), lean + random.gauss(0, _FAULT_TREE)) for _ in range(TREES_A_BIN)]
        yield tuple(_fruit(bearing, random.choice(trees), random) for _ in range(each))


def _fruit(bearing: Bearing, tree: _Tree, random: Random) -> Fruit:
    own = max(bearing.spread**2 - _PICK**2 - _BIN**2 - _TREE**2, 0.0) ** 0.5
    grams = bearing.mean_g * exp(tree.size + random.gauss(0, own))
    # The bench scale reads to the gram.
    weight_dg = max(round(grams) * DG_PER_G, bearing.crop.lightest_dg)
    stage = random.choices(list(bearing.stages), list(bearing.stages.values()))[0] if bearing.stages else None
    defects = (_defect(bearing.crop, kind, fault, tree, weight_dg, random) for kind, fault in bearing.faults.items())
    return Fruit(weight_dg, stage, tuple(defect for defect in defects if defect is not None))


def _defect(crop: Crop, kind: str, fault: Fault, tree: _Tree, weight_dg: int, random: Random) -> Defect | None:
    odds = log(fault.chance / (1 - fault.chance)) + tree.lean
    if random.random() >= 1 / (1 + exp(-odds)):
        return None
    measured = crop.kind(kind).measure
    if measured is Measured.PRESENT or fault.size is None:
        return Defect(kind)
    size = fault.size * exp(random.gauss(0, _FAULT_SIZE))
    if measured is Measured.SHARE:
        return Defect(kind, share_bp=max(100, min(round(size) * BP // 100, BP * 6 // 10)))
    largest = int(blemish_surface_mm2(weight_dg) * _LARGEST_SHARE_OF_SURFACE / len(crop.kinds))
    # People read an area against the card to a fifth of a cm² at best.
    step = MM2_PER_CM2 // 5
    return Defect(kind, area_mm2=max(step, min(round(size * MM2_PER_CM2 / step) * step, largest // step * step)))
