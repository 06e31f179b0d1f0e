"""All consignments of a block put together: what was looked at, what is packed, what marked fruit down."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain.sampling.again import another_sample
from shedgrade.domain.sampling.apart import told_apart
from shedgrade.domain.sampling.estimate import Draw, Estimate, ratio, scaled
from shedgrade.domain.sampling.totals import total
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.causes import Cause, causes_of, limits_not_judged
from shedgrade.reports.findings import CONFIDENCE
from shedgrade.reports.judging import JudgedDraws
from shedgrade.reports.shares import ConsignmentShares

MOST_CAUSES = 3


class LookedAt(NamedTuple):
    """One consignment that was looked at."""

    spec: Spec
    shares: ConsignmentShares
    judged: JudgedDraws


@dataclass(frozen=True, slots=True)
class CauseOfBlock:
    """A cause with the fruit it marked down over all consignments: how many, and the share of all fruit delivered."""

    cause: Cause
    found: int
    by_number: Estimate


@dataclass(frozen=True, slots=True)
class Season:
    """All consignments that were looked at, put together by how many fruit each holds.

    ``fruit`` is how many fruit they hold, ``packed_by_number`` the share of them that is packed, ``again`` where
    another look at as many fruit would have put it. ``defects`` are the three that marked most fruit down,
    ``others`` what else did, ``not_judged`` the limits nobody could judge, with fruit. ``too_close`` says that the
    first two defects cannot be told apart. ``left_out`` consignments were looked at in one bin only: they give no
    range, so the others speak for the block, unless there are no others.
    """

    n_fruit: int
    n_draws: int
    packed: int
    fruit: Estimate
    packed_by_number: Estimate
    again: tuple[Fraction, Fraction] | None
    defects: tuple[CauseOfBlock, ...]
    others: tuple[tuple[Cause, int], ...]
    not_judged: tuple[tuple[str, int], ...]
    too_close: bool
    left_out: int


def season_of(every: Sequence[LookedAt]) -> Season:
    """All consignments together; at least one."""
    looked = [each for each in every if each.shares.n_draws > 1] or every
    fruit = total([each.shares.fruit for each in looked])
    parts = [each.shares.fruit.value / fruit.value for each in looked]
    packed = _put_together([each.shares.packed_by_number for each in looked], parts)
    causes = [
        [[causes_of(consignment.spec, each.verdict) for each in draw] for draw in consignment.judged]
        for consignment in looked
    ]
    defects, others = _ranked(causes, parts)
    every_draw = [draw for of_one in causes for draw in of_one]
    return Season(
        n_fruit=sum(each.shares.n_fruit for each in looked),
        n_draws=sum(each.shares.n_draws for each in looked),
        packed=sum(each.shares.packed for each in looked),
        fruit=fruit,
        packed_by_number=packed,
        again=another_sample(packed),
        defects=tuple(_cause_of_block(cause, causes, parts) for cause in defects[:MOST_CAUSES]),
        others=others,
        not_judged=limits_not_judged(draw for each in looked for draw in each.judged),
        too_close=len(defects) > 1 and not _apart(every_draw, defects[0], defects[1]),
        left_out=len(every) - len(looked),
    )


# The causes of each fruit, by consignment and draw.
_Causes = Sequence[Sequence[Sequence[frozenset[Cause]]]]


def _put_together(shares: Sequence[Estimate], parts: Sequence[Fraction]) -> Estimate:
    """One share of all consignments, each counting by the part of all fruit that it holds."""
    return total([scaled(share, part) for share, part in zip(shares, parts, strict=True)])


def _ranked(causes: _Causes, parts: Sequence[Fraction]) -> tuple[list[Cause], tuple[tuple[Cause, int], ...]]:
    """Defects, the one that marked most fruit of all consignments down first; and the other causes with their fruit."""
    share: dict[Cause, Fraction] = {}
    found: Counter[Cause] = Counter()
    for consignment, part in zip(causes, parts, strict=True):
        counted = Counter(cause for draw in consignment for fruit in draw for cause in fruit)
        found.update(counted)
        n_fruit = sum(map(len, consignment))
        for cause, fruit in counted.items():
            share[cause] = share.get(cause, Fraction(0)) + part * fruit / n_fruit
    order = sorted(found, key=lambda cause: (-share[cause], cause.name))
    defects = [cause for cause in order if cause.kind_id is not None]
    return defects, tuple((cause, found[cause]) for cause in order if cause.kind_id is None)


def _cause_of_block(cause: Cause, causes: _Causes, parts: Sequence[Fraction]) -> CauseOfBlock:
    totals = [
        [Draw(sum(cause in fruit for fruit in draw), len(draw), len(draw)) for draw in consignment]
        for consignment in causes
    ]
    shares = [ratio(consignment, CONFIDENCE, share=True) for consignment in totals]
    return CauseOfBlock(
        cause, int(sum(draw.y for consignment in totals for draw in consignment)), _put_together(shares, parts)
    )


def _apart(every_draw: Sequence[Sequence[frozenset[Cause]]], first: Cause, second: Cause) -> bool:
    return told_apart(every_draw, lambda each: first in each, lambda each: second in each)
