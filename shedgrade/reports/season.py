"""All consignments of a block put together: what was looked at, what is packed, what marked fruit down."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain.sampling.again import another_sample
from shedgrade.domain.sampling.estimate import Draw, Estimate, ratio, scaled
from shedgrade.domain.sampling.totals import total
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.causes import (
    Cause,
    SeenDraws,
    causes_apart,
    counted_for,
    every_cause,
    fruit_not_judged,
    limits_not_judged,
    seen_of,
)
from shedgrade.reports.findings import CONFIDENCE
from shedgrade.reports.judging import JudgedDraws
from shedgrade.reports.shares import ConsignmentShares

MOST_CAUSES = 3


class LookedAt(NamedTuple):
    """One consignment that was looked at."""

    consignment_id: int
    spec: Spec
    shares: ConsignmentShares
    judged: JudgedDraws


@dataclass(frozen=True, slots=True)
class CauseOfBlock:
    """A cause with the fruit it marked down over all consignments: how many, and the share of all fruit delivered.

    Only fruit looked at for it stand in any of these figures: they are the estimate's ``n_fruit``, and by consignment
    ``counted`` says how many were found among how many. ``left_out`` consignments were not looked at for it.
    """

    cause: Cause
    found: int
    by_number: Estimate
    counted: Mapping[int, tuple[int, int]]
    left_out: int

    @property
    def plain(self) -> Fraction:
        """The share of the fruit looked at for it, every fruit counting the same."""
        return Fraction(self.found, self.by_number.n_fruit)


@dataclass(frozen=True, slots=True)
class Season:
    """All consignments that were looked at, put together by how many fruit each holds.

    ``fruit`` is how many fruit they hold, ``packed_by_number`` the share of them that is packed, ``again`` where
    another look at as many fruit would have put it. ``defects`` are the three that marked most fruit down,
    ``others`` what else did, ``not_judged`` the limits nobody could judge, with fruit, ``fruit_not_judged`` the fruit
    with any such limit. ``too_close`` says that the
    first two defects cannot be told apart. ``left_out`` consignments were looked at in one bin only: they give no
    range, so the others speak for the block, unless there are no others.
    """

    n_fruit: int
    n_draws: int
    n_consignments: int
    packed: int
    fruit: Estimate
    packed_by_number: Estimate
    again: tuple[Fraction, Fraction] | None
    defects: tuple[CauseOfBlock, ...]
    others: tuple[CauseOfBlock, ...]
    not_judged: tuple[tuple[str, int], ...]
    fruit_not_judged: int
    too_close: bool
    left_out: int

    @property
    def causes(self) -> tuple[CauseOfBlock, ...]:
        """The defects and the others in one row, the largest share of all fruit first."""
        return tuple(sorted((*self.defects, *self.others), key=_rank))


def season_of(every: Sequence[LookedAt]) -> Season:
    """All consignments together; at least one."""
    looked = [each for each in every if each.shares.n_draws > 1] or every
    loads = [_Load(each.consignment_id, each.shares.fruit.value, seen_of(each.spec, each.judged)) for each in looked]
    packed = _put_together(
        [(load.fruit, each.shares.packed_by_number) for load, each in zip(loads, looked, strict=True)]
    )
    causes = _ranked(loads)
    defects = [each for each in causes if each.cause.kind_id is not None]
    return Season(
        n_fruit=sum(each.shares.n_fruit for each in looked),
        n_draws=sum(each.shares.n_draws for each in looked),
        n_consignments=len(looked),
        packed=sum(each.shares.packed for each in looked),
        fruit=total([each.shares.fruit for each in looked]),
        packed_by_number=packed,
        again=another_sample(packed),
        defects=tuple(defects[:MOST_CAUSES]),
        others=tuple(each for each in causes if each.cause.kind_id is None),
        not_judged=limits_not_judged(draw for each in looked for draw in each.judged),
        fruit_not_judged=fruit_not_judged(draw for each in looked for draw in each.judged),
        too_close=_too_close(loads, defects),
        left_out=len(every) - len(looked),
    )


class _Load(NamedTuple):
    """A consignment: how many fruit it holds, and what was seen on those looked at."""

    consignment_id: int
    fruit: Fraction
    seen: SeenDraws


def _put_together(shares: Sequence[tuple[Fraction, Estimate]]) -> Estimate:
    """One share of all consignments, each counting by how many fruit it holds."""
    fruit = sum(held for held, _ in shares)
    return total([scaled(share, held / fruit) for held, share in shares])


def _ranked(loads: Sequence[_Load]) -> list[CauseOfBlock]:
    """Every cause, the one that marked the largest share of all fruit down first."""
    causes = frozenset(cause for load in loads for cause in every_cause(load.seen))
    found = [_cause_of_block(cause, loads) for cause in causes]
    return sorted(found, key=_rank)


def _rank(each: CauseOfBlock) -> tuple[Fraction, str]:
    return -each.by_number.value, each.cause.name


def _cause_of_block(cause: Cause, loads: Sequence[_Load]) -> CauseOfBlock:
    """Consignments looked at for it in several bins speak for the block, those of one bin only if there is no other."""
    counted = [(load, [draw for draw in counted_for(cause, load.seen) if draw.n_fruit]) for load in loads]
    speaking = [(load, draws) for load, draws in counted if len(draws) > 1] or [each for each in counted if each[1]]
    totals = {load.consignment_id: _total(draws) for load, draws in speaking}
    return CauseOfBlock(
        cause=cause,
        found=sum(found for found, _ in totals.values()),
        by_number=_put_together([(load.fruit, ratio(draws, CONFIDENCE, share=True)) for load, draws in speaking]),
        counted=totals,
        left_out=len(loads) - len(speaking),
    )


def _total(draws: Sequence[Draw]) -> tuple[int, int]:
    return int(sum(draw.y for draw in draws)), sum(draw.n_fruit for draw in draws)


def _too_close(loads: Sequence[_Load], defects: Sequence[CauseOfBlock]) -> bool:
    every_draw = [draw for load in loads for draw in load.seen]
    return len(defects) > 1 and not causes_apart(every_draw, defects[0].cause, defects[1].cause)
