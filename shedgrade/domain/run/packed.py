"""What the packed trays weigh: by their check-weights, and by what their labels say.

Trays carry more than their label, so label weight alone would make fruit vanish from the balance.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import sqrt

from shedgrade.domain.run.events import Cell
from shedgrade.domain.run.state import RunState
from shedgrade.domain.run.tally import Weights
from shedgrade.domain.sampling.estimate import Estimate, Method, shifted
from shedgrade.domain.sampling.proportion import student_t
from shedgrade.domain.sampling.totals import total
from shedgrade.domain.units import round_half_up

CONFIDENCE = 0.95
_ENOUGH_FOR_A_RANGE = 2


class Known(StrEnum):
    """How the weight of packed trays is known."""

    WEIGHED = "weighed"
    ESTIMATED = "estimated"
    LABEL = "by label"


@dataclass(frozen=True, slots=True)
class PackedCell:
    """The trays of one cell: what they weigh (``measured_g``, rounded once), and what their labels say.

    ``weights`` are the check-weights behind it; ``of_other_stretches`` says that none was of this stretch, and those
    of the same class, tray and count under other breaks stand in. ``estimate`` has the range, in grams of all its
    trays; None where every tray was weighed, or none was. With one check-weight there is no range.
    """

    cell: Cell
    trays: int
    label_g: int
    measured_g: int
    known: Known
    weights: Weights
    of_other_stretches: bool = False
    estimate: Estimate | None = None

    @property
    def by_label_g(self) -> int:
        """Trays times the label."""
        return self.trays * self.label_g

    @property
    def mean_g(self) -> Fraction | None:
        """The mean net of the trays weighed, None of none."""
        return Fraction(self.weights.total_g, self.weights.n) if self.weights.n else None

    @property
    def giveaway_g(self) -> Fraction | None:
        """Mean of net less label over the trays weighed, short ones counted as negative; None of none."""
        return None if self.mean_g is None else self.mean_g - self.label_g


@dataclass(frozen=True, slots=True)
class Packed:
    """All trays of a run, cell by cell; the totals are the sums of the cells as they are shown."""

    cells: tuple[PackedCell, ...]

    @property
    def trays(self) -> int:
        """Trays of all cells."""
        return sum(each.trays for each in self.cells)

    @property
    def measured_g(self) -> int:
        """What they weigh by their check-weights; those of which none was weighed, by label."""
        return sum(each.measured_g for each in self.cells)

    @property
    def by_label_g(self) -> int:
        """What their labels say."""
        return sum(each.by_label_g for each in self.cells)

    @property
    def known(self) -> Known:
        """Weighed if every tray was, by label if none was, else estimated."""
        kinds = {each.known for each in self.cells}
        return kinds.pop() if len(kinds) == 1 else Known.ESTIMATED if kinds else Known.WEIGHED

    @property
    def weighed(self) -> int:
        """How many trays were weighed; those that stand in for another stretch's count once."""
        return sum(each.weights.n for each in self.cells if not each.of_other_stretches)

    @property
    def short(self) -> int:
        """How many of these were under their label."""
        return sum(each.weights.short for each in self.cells if not each.of_other_stretches)

    @property
    def trays_by_label(self) -> int:
        """Trays of which no like tray was weighed."""
        return sum(each.trays for each in self.cells if each.known is Known.LABEL)

    @property
    def estimate(self) -> Estimate | None:
        """``measured_g`` with its range; None where nothing is estimated, or a part of it has no range.

        Trays by label and trays all weighed are added as they are: the range says nothing of them."""
        parts: dict[tuple[str, int, tuple[int, ...]], list[Estimate]] = {}
        for each in self.cells:
            if each.estimate is not None:
                parts.setdefault((each.cell.class_id, each.cell.tray_id, each.cell.counts), []).append(each.estimate)
        if not parts or any(each.se is None for some in parts.values() for each in some):
            return None
        added = total([_of_like_trays(some) for some in parts.values()])
        return shifted(added, self.measured_g - added.value)

    @property
    def giveaway_g(self) -> int | None:
        """What the trays of which like ones were weighed carry over their labels, short ones counted as negative."""
        some = [each for each in self.cells if each.known is not Known.LABEL]
        return sum(each.measured_g - each.by_label_g for each in some) if some else None

    @property
    def giveaway(self) -> Fraction | None:
        """The same as a share of what those labels say."""
        labels_g = sum(each.by_label_g for each in self.cells if each.known is not Known.LABEL)
        return Fraction(self.giveaway_g, labels_g) if self.giveaway_g is not None and labels_g else None


def _of_like_trays(parts: list[Estimate]) -> Estimate:
    """Stretches of one class, tray and count together: where they lean on the same check-weights they are wrong
    together, so how far off they may be is added up as it is."""
    if len(parts) == 1:
        return parts[0]
    return replace(
        parts[0],
        value=sum((each.value for each in parts), Fraction(0)),
        low=sum((each.low or Fraction(0) for each in parts), Fraction(0)),
        high=sum((each.high or Fraction(0) for each in parts), Fraction(0)),
        n_fruit=sum(each.n_fruit for each in parts),
        n_draws=sum(each.n_draws for each in parts),
        se=sum(each.se or 0.0 for each in parts),
        df=min(each.df or 1.0 for each in parts),
    )


def packed(state: RunState) -> Packed:
    """What the trays of a run weigh, by stretch, class, tray type and count."""
    cells = sorted(state.cells, key=lambda cell: (cell.stretch, cell.class_id, cell.tray_id, cell.counts))
    return Packed(tuple(_cell(cell, state) for cell in cells if state.cells[cell].trays))


def _cell(cell: Cell, state: RunState) -> PackedCell:
    tray = state.tray(cell.tray_id)
    assert tray is not None
    tally = state.cells[cell]
    own = tally.weights.n > 0
    weights = tally.weights if own else _alike(cell, state)
    if not weights.n:
        return PackedCell(cell, tally.trays, tray.label_g, tally.trays * tray.label_g, Known.LABEL, weights)
    measured_g = round_half_up(Fraction(weights.total_g * tally.trays, weights.n))
    every = own and weights.n >= tally.trays
    return PackedCell(
        cell,
        tally.trays,
        tray.label_g,
        measured_g,
        Known.WEIGHED if every else Known.ESTIMATED,
        weights,
        of_other_stretches=not own,
        estimate=None if every else _estimate(cell, tally.trays, weights, of_these=own),
    )


def _alike(cell: Cell, state: RunState) -> Weights:
    """Check-weights of the same class, tray type and counts in the other stretches."""
    same = (cell.class_id, cell.tray_id, cell.counts)
    return _sum(
        tally.weights for each, tally in state.cells.items() if (each.class_id, each.tray_id, each.counts) == same
    )


def _sum(weights: Iterable[Weights]) -> Weights:
    found = Weights()
    for each in weights:
        found = found.plus(each)
    return found


def _estimate(cell: Cell, trays: int, weights: Weights, *, of_these: bool) -> Estimate:
    """The weight of all trays from those weighed: t on n - 1, less what is known already where the weighed trays are
    some of these (sampling from a finite lot, a textbook formula from memory)."""
    value = Fraction(weights.total_g * trays, weights.n)
    bare = Estimate(
        value=value,
        low=None,
        high=None,
        n_fruit=weights.n * cell.counts[-1],
        n_draws=weights.n,
        method=Method.TRAYS,
        confidence=CONFIDENCE,
        base="packed trays",
    )
    if weights.n < _ENOUGH_FOR_A_RANGE:
        return bare
    return _ranged(bare, weights, trays, 1 - weights.n / trays if of_these else 1.0)


def _ranged(bare: Estimate, weights: Weights, trays: int, still_unknown: float) -> Estimate:
    n = weights.n
    variance = (weights.squares_g2 - Fraction(weights.total_g**2, n)) / (n - 1)
    se = trays * sqrt(float(variance) / n * still_unknown)
    half = Fraction(student_t(1 - (1 - CONFIDENCE) / 2, n - 1) * se)
    return replace(bare, low=bare.value - half, high=bare.value + half, se=se, df=float(n - 1))
