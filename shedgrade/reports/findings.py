"""What the fruit looked at of one consignment say: shares, cells, outlets, causes, and what cannot be told."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shedgrade.domain.packout import GradedFruit, PackOut, pack_out
from shedgrade.domain.sampling.again import more_draws_to_halve
from shedgrade.domain.sampling.apart import told_apart
from shedgrade.domain.sampling.drawn import Sample
from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.causes import (
    CauseFound,
    causes_apart,
    causes_found,
    fruit_not_judged,
    limits_not_judged,
    seen_of,
)
from shedgrade.reports.judging import Judged, JudgedDraws, graded

CONFIDENCE = 0.95
NO_CLASS = "makes no class"


@dataclass(frozen=True, slots=True)
class Cell:
    """Fruit of one class and count: how many were found, both shares, and expected trays."""

    class_id: str
    count: int
    found: int
    by_number: Estimate
    by_weight: Estimate
    trays: Estimate


@dataclass(frozen=True, slots=True)
class OutletCase:
    """Fruit that goes to an outlet for one reason: it makes no class, or is too small or too big for the tray."""

    outlet_id: str
    why: str
    found: int
    by_number: Estimate
    by_weight: Estimate
    mass_g: Estimate


@dataclass(frozen=True, slots=True)
class Findings:
    """What the fruit looked at say. ``found`` counts them by class id (None makes no class).

    ``not_judged`` are the limits nobody could judge with their fruit, ``fruit_not_judged`` all fruit with any of them.
    ``too_close`` names the two largest classes if the sample cannot tell which is the larger, ``causes_too_close``
    the same of the two causes that marked most fruit down. ``more_bins`` would make the range of the pack-out half as
    wide; None where that cannot be said, or the consignment has not so many bins.
    """

    packout: PackOut
    found: Mapping[str | None, int]
    packed_by_number: Estimate
    cells: tuple[Cell, ...]
    outlet_cases: tuple[OutletCase, ...]
    causes: tuple[CauseFound, ...]
    not_judged: tuple[tuple[str, int], ...]
    fruit_not_judged: int
    weights_dg: tuple[int, ...]
    too_close: tuple[str, str] | None
    causes_too_close: bool
    more_bins: int | None


def findings_of(spec: Spec, judged: JudgedDraws, net_g: int, bins: int) -> Findings:
    """What the judged fruit say of a consignment of that net weight and so many bins."""
    fruit = graded(judged)
    sample = Sample.of(fruit, net_g or 1)
    classes = [each.id for each in spec.classes]
    packout = pack_out(fruit, net_g or 1, classes=classes, outlets=[outlet.id for outlet in spec.outlets])
    causes = causes_found(spec, judged)
    return Findings(
        packout=packout,
        found=Counter(each.class_id for each in sample.every),
        packed_by_number=sample.by_number(lambda each: each.packed, CONFIDENCE),
        cells=tuple(_cell(sample, *key) for key in cell_keys(sample, classes)),
        outlet_cases=_outlet_cases(spec, judged, sample),
        causes=causes,
        not_judged=limits_not_judged(judged),
        fruit_not_judged=fruit_not_judged(judged),
        weights_dg=tuple(each.weight_dg for each in sample.every),
        too_close=_too_close(packout, fruit),
        causes_too_close=_causes_too_close(spec, judged, causes),
        more_bins=_more_bins(packout.pack_out, bins),
    )


def cell_keys(sample: Sample, classes: Sequence[str] = ()) -> list[tuple[str, int]]:
    """Class and count of the fruit found in trays, best class first, big fruit first."""
    found = {(each.class_id, each.count) for each in sample.every if each.outlet_id is None}
    keys = [(class_id, count) for class_id, count in found if class_id is not None and count is not None]
    place = {class_id: number for number, class_id in enumerate(classes)}
    return sorted(keys, key=lambda key: (place.get(key[0], 0), *key))


def _cell(sample: Sample, class_id: str, count: int) -> Cell:
    def is_in(each: GradedFruit) -> bool:
        return each.is_in_cell(class_id, count)

    return Cell(
        class_id=class_id,
        count=count,
        found=sum(map(is_in, sample.every)),
        by_number=sample.by_number(is_in, CONFIDENCE),
        by_weight=sample.by_weight(is_in, CONFIDENCE),
        trays=sample.trays(class_id, count, CONFIDENCE),
    )


def _outlet_cases(spec: Spec, judged: JudgedDraws, sample: Sample) -> tuple[OutletCase, ...]:
    cases: dict[tuple[str, str], list[GradedFruit]] = {}
    for each in (each for draw in judged for each in draw):
        if each.graded.outlet_id is not None:
            cases.setdefault((each.graded.outlet_id, _why(each)), []).append(each.graded)
    order = [outlet.id for outlet in spec.outlets]
    places = sorted(cases, key=lambda case: (order.index(case[0]), case[1]))
    return tuple(_outlet_case(sample, case, cases[case]) for case in places)


def _outlet_case(sample: Sample, case: tuple[str, str], fruit: Sequence[GradedFruit]) -> OutletCase:
    members = frozenset(fruit)  # equal fruit go to the same place for the same reason

    def is_in(each: GradedFruit) -> bool:
        return each in members

    return OutletCase(
        outlet_id=case[0],
        why=case[1],
        found=len(fruit),
        by_number=sample.by_number(is_in, CONFIDENCE),
        by_weight=sample.by_weight(is_in, CONFIDENCE),
        mass_g=sample.mass(is_in, CONFIDENCE),
    )


def _why(each: Judged) -> str:
    misfit = each.verdict.count.misfit if each.verdict.count is not None else None
    return NO_CLASS if misfit is None else misfit.says


def _too_close(packout: PackOut, fruit: Sequence[Sequence[GradedFruit]]) -> tuple[str, str] | None:
    """The two largest classes by weight, if which is the larger cannot be told."""
    there = [row for row in packout.classes if row.class_id is not None and row.by_weight.value]
    order = [str(row.class_id) for row in sorted(there, key=lambda row: -row.by_weight.value)]
    if len(order) <= 1:
        return None
    first, second = order[:2]
    apart = told_apart(
        fruit, lambda each: each.class_id == first, lambda each: each.class_id == second, lambda each: each.weight_dg
    )
    return None if apart else (first, second)


def _causes_too_close(spec: Spec, judged: JudgedDraws, causes: Sequence[CauseFound]) -> bool:
    return len(causes) > 1 and not causes_apart(seen_of(spec, judged), causes[0].cause, causes[1].cause)


def _more_bins(estimate: Estimate, bins: int) -> int | None:
    more = more_draws_to_halve(estimate)
    return more if more is not None and estimate.n_draws + more <= bins else None
