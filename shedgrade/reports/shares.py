"""One consignment as its block's page shows it: fewer figures than its pack-out report, since there may be many."""

from collections.abc import Mapping
from dataclasses import dataclass

from shedgrade.domain.sampling.drawn import Sample
from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.findings import CONFIDENCE
from shedgrade.reports.judging import JudgedDraws, graded


@dataclass(frozen=True, slots=True)
class ConsignmentShares:
    """What the fruit looked at of one consignment say, counted by number; class None makes no class."""

    n_fruit: int
    n_draws: int
    packed: int
    packed_by_number: Estimate
    classes: Mapping[str | None, Estimate]
    fruit: Estimate


def shares_of(judged: JudgedDraws, spec: Spec, net_g: int) -> ConsignmentShares:
    """What the judged fruit say of a consignment of that net weight."""
    sample = Sample.of(graded(judged), net_g or 1)
    classes: list[str | None] = [*(each.id for each in spec.classes), None]
    return ConsignmentShares(
        n_fruit=len(sample.every),
        n_draws=len(sample.draws),
        packed=sum(each.packed for each in sample.every),
        packed_by_number=sample.by_number(lambda each: each.packed, CONFIDENCE),
        classes={key: _class_share(sample, key) for key in classes},
        fruit=sample.fruit(CONFIDENCE),
    )


def _class_share(sample: Sample, class_id: str | None) -> Estimate:
    return sample.by_number(lambda each: each.class_id == class_id, CONFIDENCE)
