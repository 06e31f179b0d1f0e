"""What kept fruit out of the best class, and which limits nobody could judge."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.sampling.estimate import Draw, Estimate, ratio
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.judging import Judged, JudgedDraws


@dataclass(frozen=True, slots=True)
class Cause:
    """A defect, or a limit on something else than defects (``kind_id`` None), that kept fruit out of the best class."""

    key: str
    name: str
    kind_id: str | None


@dataclass(frozen=True, slots=True)
class CauseFound:
    """A cause with the fruit it marked down: how many of those looked at, and their share of the consignment's."""

    cause: Cause
    found: int
    by_number: Estimate


def causes_of(spec: Spec, verdict: Verdict) -> frozenset[Cause]:
    """What contributed to the limits that kept one fruit out of the best class; empty if it made it."""
    reasons = verdict.reasons_for(spec.classes[0].id)
    defects = {Cause(kind, spec.crop.kind(kind).name, kind) for reason in reasons for kind in reason.kinds}
    others = {Cause(f"limit {each.limit_id}", each.limit_name, None) for each in reasons if not each.kinds}
    return frozenset(defects | others)


def causes_found(spec: Spec, judged: JudgedDraws) -> tuple[CauseFound, ...]:
    """Every cause of a consignment's sample, the one that marked most fruit down first."""
    by_draw = [Counter(cause for each in draw for cause in causes_of(spec, each.verdict)) for draw in judged]
    totals: Counter[Cause] = sum(by_draw, Counter())
    return tuple(
        CauseFound(cause, found, _share([counted[cause] for counted in by_draw], judged))
        for cause, found in sorted(totals.items(), key=lambda item: (-item[1], item[0].name))
    )


def limits_not_judged(judged: Iterable[Iterable[Judged]]) -> tuple[tuple[str, int], ...]:
    """Limits that could not be judged, with the number of fruit, the most first."""
    counted = Counter(
        name for draw in judged for each in draw for name in {limit.limit_name for limit in each.verdict.not_judged}
    )
    return tuple(sorted(counted.items(), key=lambda item: (-item[1], item[0])))


def _share(found: list[int], judged: JudgedDraws) -> Estimate:
    return ratio([Draw(y, len(draw), len(draw)) for y, draw in zip(found, judged, strict=True)], share=True)
