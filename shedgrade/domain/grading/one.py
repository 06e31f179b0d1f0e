"""One fruit under one spec: measured facts in, class, size, count and reasons out.

Read ``grade`` first; each way of taking a figure from a fruit is one function below it.
"""

from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain import units
from shedgrade.domain.grading.facts import NOTHING_SAID, Defect, Fruit, Load, blemish_surface_mm2
from shedgrade.domain.grading.plan import Answer, Check, Extent, Plan, Table, Taken, plan_for
from shedgrade.domain.grading.verdict import NotJudged, Reason, Verdict
from shedgrade.domain.spec.limit import Limit
from shedgrade.domain.spec.measure import COLOUR_STAGE, By, Measure, Take
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.trays.counts import CountResult, TrayType, count_for

__all__ = [
    "Defect",
    "Fruit",
    "GradingError",
    "NotJudged",
    "Reason",
    "Verdict",
    "blemish_surface_mm2",
    "grade",
]


class GradingError(ValueError):
    """The question does not fit the fruit or the spec; the message says what would."""


def grade(spec: Spec, fruit: Fruit, tray: TrayType | None = None, code: str | None = None) -> Verdict:
    """Judge one fruit: the best class whose limits it does not break, and why it missed the better ones.

    ``code`` is the size code on the pack; without one the fruit is judged for the code that gives the best class,
    the first in file order where several do. Limits whose measure was not taken do not stop a class, they are
    listed beside it. Raises GradingError for a code the fruit does not have and for a kind the crop does not know.
    """
    plan = plan_for(spec)
    codes = plan.codes(fruit.weight_dg)
    seen = _Seen.of(fruit, codes, plan)
    taken = [_TAKES[limit.measure.take](seen, limit.measure) for limit in spec.limits]
    size, placed = _best(plan, taken, _sizes_to_try(codes, code, fruit))
    class_id = spec.classes[placed.place].id if placed.place < len(spec.classes) else None
    count = count_for(tray, fruit.weight_dg) if tray is not None and class_id is not None else None
    return Verdict(
        class_id=class_id,
        codes=codes,
        judged_as=size,
        count=count,
        reasons=tuple(
            _reason(spec, place, check, taken[check.limit], size, fruit)
            for place, broken in enumerate(placed.broken)
            for check in broken
        ),
        not_judged=tuple(_not_judged(spec.limits[check.limit], fruit) for check in placed.unsure),
        outlet=_outlet(spec, class_id, placed, count),
    )


def figure(spec: Spec, measure: Measure, fruit: Fruit, load: Load = NOTHING_SAID) -> Taken:  # noqa: ARG001
    """One figure of a fruit, or of the load it belongs to."""
    plan = plan_for(spec)
    return _TAKES[measure.take](_Seen.of(fruit, plan.codes(fruit.weight_dg), plan), measure)


class _Placed(NamedTuple):
    """Where a fruit comes out for one size: the place of its class, the broken checks of each better class."""

    place: int
    broken: list[list[Check]]
    unsure: list[Check]


def _place(table: Table, taken: list[Taken]) -> _Placed:
    answers = [check.judge(taken[check.limit]) for check in table.checks]
    missed: list[list[Check]] = []
    for place, numbers in enumerate(table.classes):
        broken = [table.checks[number] for number in numbers if answers[number] is Answer.BROKEN]
        if not broken:
            unsure = [table.checks[number] for number in numbers if answers[number] is Answer.NOT_JUDGED]
            return _Placed(place, missed, unsure)
        missed.append(broken)
    return _Placed(len(table.classes), missed, [])


def _best(plan: Plan, taken: list[Taken], sizes: tuple[str | None, ...]) -> tuple[str | None, _Placed]:
    first = plan.tables[sizes[0]]
    best, placed = sizes[0], _place(first, taken)
    for size in sizes[1:]:
        if plan.tables[size] is not first:
            other = _place(plan.tables[size], taken)
            if other.place < placed.place:
                best, placed = size, other
    return best, placed


def _sizes_to_try(codes: tuple[str, ...], code: str | None, fruit: Fruit) -> tuple[str | None, ...]:
    if code is None:
        return codes or (None,)
    if code not in codes:
        sizes = f"size {' or '.join(codes)}" if codes else "no size"
        raise GradingError(f"a fruit of {units.say_weight(fruit.weight_dg)} is {sizes}, not size {code}")
    return (code,)


class _Seen(NamedTuple):
    """The facts of a fruit by kind, and how many size codes it has."""

    fruit: Fruit
    codes: int
    kinds: dict[str, list[Defect]]

    @classmethod
    def of(cls, fruit: Fruit, codes: tuple[str, ...], plan: Plan) -> "_Seen":
        kinds: dict[str, list[Defect]] = {}
        for defect in fruit.defects:
            if defect.kind not in plan.kinds:
                raise GradingError(f'the crop has no defect kind "{defect.kind}"')
            if defect.is_there:
                kinds.setdefault(defect.kind, []).append(defect)
        return cls(fruit, len(codes), kinds)

    def named(self, kinds: tuple[str, ...]) -> tuple[tuple[str, ...], Extent]:
        """Those of the kinds that are there, and whether there may be more because not all were looked for."""
        looked_for = self.fruit.looked_for
        extent = Extent.EXACT if looked_for is None or looked_for.issuperset(kinds) else Extent.AT_LEAST
        return tuple([kind for kind in kinds if kind in self.kinds]) if self.kinds else (), extent


def _value(seen: _Seen, measure: Measure) -> Taken:
    """The weight, or the number of the colour stage."""
    if measure.of != (COLOUR_STAGE,):
        return Taken(seen.fruit.weight_dg, 1, Extent.EXACT, ())
    if seen.fruit.stage is None:
        return Taken(0, 1, Extent.AT_LEAST, ())
    return Taken(seen.fruit.stage, 1, Extent.EXACT, ())


def _sum(seen: _Seen, measure: Measure) -> Taken:
    """The named kinds added up, in mm² or as a share of the surface; the same kind twice counts twice."""
    there, extent = seen.named(measure.of)
    if not there:
        return Taken(0, 1, extent, ())
    defects = [defect for kind in there for defect in seen.kinds[kind]]
    if any(not defect.is_measured for defect in defects):
        extent = Extent.MORE_THAN
    add = _areas if measure.by is By.AREA else _shares
    num, den = add(defects, seen.fruit.weight_dg)
    return Taken(num, den, extent, there)


def _present(seen: _Seen, measure: Measure) -> Taken:
    """How many of the named kinds are there."""
    there, extent = seen.named(measure.of)
    return Taken(len(there), 1, extent, there)


def _codes(seen: _Seen, _measure: Measure) -> Taken:
    """How many size codes the weight falls in."""
    return Taken(seen.codes, 1, Extent.EXACT, ())


_TAKES: dict[Take, Callable[[_Seen, Measure], Taken]] = {
    Take.VALUE: _value,
    Take.SUM: _sum,
    Take.PRESENT: _present,
    Take.CODES: _codes,
}


def _areas(defects: list[Defect], weight_dg: int) -> tuple[int, int]:
    """The defects added up in mm² as a fraction; one known only as a share is turned by the blemish surface."""
    area = sum(defect.area_mm2 for defect in defects if defect.area_mm2 is not None)
    share = sum(defect.share_bp for defect in defects if defect.area_mm2 is None and defect.share_bp is not None)
    return (area * units.BP + share * blemish_surface_mm2(weight_dg), units.BP) if share else (area, 1)


def _shares(defects: list[Defect], weight_dg: int) -> tuple[int, int]:
    """The defects added up as a share of one; one known only in mm² is turned by the blemish surface."""
    share = sum(defect.share_bp for defect in defects if defect.share_bp is not None)
    area = sum(defect.area_mm2 for defect in defects if defect.share_bp is None and defect.area_mm2 is not None)
    if not area:
        return share, units.BP
    surface = blemish_surface_mm2(weight_dg)
    return share * surface + area * units.BP, units.BP * surface


def _reason(spec: Spec, place: int, check: Check, taken: Taken, size: str | None, fruit: Fruit) -> Reason:
    limit = spec.limits[check.limit]
    return Reason(
        class_id=spec.classes[place].id,
        limit_id=limit.id,
        limit_name=limit.name,
        measure=limit.measure,
        kinds=taken.kinds,
        value=Fraction(taken.num, taken.den),
        at_least=taken.extent is not Extent.EXACT,
        allowed=check.row.to,
        size_code=size if check.row.sizes else None,
        weight_dg=fruit.weight_dg,
        source=check.row.source,
    )


def _not_judged(limit: Limit, fruit: Fruit) -> NotJudged:
    """What was not taken: the kinds not looked for or seen without a figure, or the colour stage."""
    if limit.measure.take is Take.VALUE:
        return NotJudged(limit.id, limit.name, limit.measure.of)
    unmeasured = {defect.kind for defect in fruit.defects if not defect.is_measured}
    looked_for = frozenset(limit.measure.kinds) if fruit.looked_for is None else fruit.looked_for
    missing = (kind for kind in limit.measure.kinds if kind not in looked_for or kind in unmeasured)
    return NotJudged(limit.id, limit.name, tuple(missing))


def _outlet(spec: Spec, class_id: str | None, placed: _Placed, count: CountResult | None) -> Outlet | None:
    """Where it goes: by the limits every class broke, or by the misfit with the tray; None when it is packed."""
    if class_id is not None:
        misfit = count.misfit if count is not None else None
        return spec.outlet_for(frozenset([misfit.value])) if misfit is not None else None
    everywhere = set.intersection(*({spec.limits[check.limit].id for check in broken} for broken in placed.broken))
    return spec.outlet_for(frozenset(everywhere))
