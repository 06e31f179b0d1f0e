"""What kept fruit out of the best class, and which limits nobody could judge.

A cause's share is of the fruit that were looked at for it: fruit of a file without its column neither had it nor did
not, and stand in neither number.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.grading.verdict import Reason, Verdict
from shedgrade.domain.sampling.apart import told_apart
from shedgrade.domain.sampling.estimate import Draw, Estimate, ratio
from shedgrade.domain.spec.measure import COLOUR_STAGE
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.judging import Judged, JudgedDraws


@dataclass(frozen=True, slots=True)
class Cause:
    """A defect, or a limit on something else than defects (``kind_id`` None), that kept fruit out of the best class."""

    key: str
    name: str
    kind_id: str | None
    by_colour: bool = False

    def was_looked_for(self, fruit: Fruit) -> bool:
        """Whether the fruit was looked at for it. A defect that was written down was looked for, whatever the sample
        set out to look for."""
        if self.kind_id is None:
            return fruit.stage is not None or not self.by_colour
        looked_for = fruit.looked_for
        return looked_for is None or self.kind_id in looked_for or any(self.kind_id == d.kind for d in fruit.defects)


class Seen(NamedTuple):
    """A fruit, and what kept it out of the best class."""

    fruit: Fruit
    causes: frozenset[Cause]


# The fruit of a sample, draw by draw.
SeenDraws = Sequence[Sequence[Seen]]


@dataclass(frozen=True, slots=True)
class CauseFound:
    """A cause with the fruit it marked down: how many, and their share of those looked at for it, which are the
    estimate's ``n_fruit``."""

    cause: Cause
    found: int
    by_number: Estimate


def causes_of(spec: Spec, verdict: Verdict) -> frozenset[Cause]:
    """What contributed to the limits that kept one fruit out of the best class; empty if it made it."""
    reasons = verdict.reasons_for(spec.classes[0].id)
    defects = {Cause(kind, spec.crop.kind(kind).name, kind) for reason in reasons for kind in reason.all_kinds}
    return frozenset(defects | {_limit(reason) for reason in reasons if not reason.all_kinds})


def seen_of(spec: Spec, judged: JudgedDraws) -> SeenDraws:
    """Every fruit with its causes."""
    return [[Seen(each.drawn.fruit, causes_of(spec, each.verdict)) for each in draw] for draw in judged]


def counted_for(cause: Cause, seen: SeenDraws) -> list[Draw]:
    """Draw by draw, on how many fruit the cause was found among those looked at for it."""
    looked = [[each for each in draw if cause.was_looked_for(each.fruit)] for draw in seen]
    return [Draw(sum(cause in each.causes for each in draw), len(draw), len(draw)) for draw in looked]


def every_cause(seen: SeenDraws) -> frozenset[Cause]:
    """What was found on any fruit."""
    return frozenset(cause for draw in seen for each in draw for cause in each.causes)


def causes_found(spec: Spec, judged: JudgedDraws) -> tuple[CauseFound, ...]:
    """Every cause of a consignment's sample, the one that marked the largest share down first."""
    seen = seen_of(spec, judged)
    found = [_found(cause, counted_for(cause, seen)) for cause in every_cause(seen)]
    return tuple(sorted(found, key=lambda each: (-each.by_number.value, each.cause.name)))


def causes_apart(seen: SeenDraws, first: Cause, second: Cause) -> bool:
    """Whether the fruit looked at for both can tell which of the two marked more of them down."""
    both = [
        [each.causes for each in draw if first.was_looked_for(each.fruit) and second.was_looked_for(each.fruit)]
        for draw in seen
    ]
    return any(both) and told_apart(both, lambda causes: first in causes, lambda causes: second in causes)


def limits_not_judged(judged: Iterable[Iterable[Judged]]) -> tuple[tuple[str, int], ...]:
    """Limits that could not be judged, with the number of fruit, the most first."""
    counted = Counter(
        name for draw in judged for each in draw for name in {limit.limit_name for limit in each.verdict.not_judged}
    )
    return tuple(sorted(counted.items(), key=lambda item: (-item[1], item[0])))


def fruit_not_judged(judged: Iterable[Iterable[Judged]]) -> int:
    """How many fruit have a limit that could not be judged."""
    return sum(bool(each.verdict.not_judged) for draw in judged for each in draw)


def _limit(reason: Reason) -> Cause:
    by_colour = reason.measure.of == (COLOUR_STAGE,)
    return Cause(f"limit {reason.limit_id}", reason.limit_name, None, by_colour)


def _found(cause: Cause, draws: Sequence[Draw]) -> CauseFound:
    return CauseFound(cause, int(sum(draw.y for draw in draws)), ratio(draws, share=True))
