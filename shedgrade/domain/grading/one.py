"""One fruit under one spec: measured facts in, class, size, count and reasons out.

Read ``grade`` first. How a figure is taken from a fruit stands in ``takes``, which row of a limit speaks in ``plan``.
"""

from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain import units
from shedgrade.domain.bound import say
from shedgrade.domain.grading.facts import NOTHING_SAID, Defect, Fruit, Load, blemish_surface_mm2
from shedgrade.domain.grading.plan import Answer, Check, Decided, FigureOf, Figures, Plan, Ruling, Table, plan_for
from shedgrade.domain.grading.takes import Extent, GradingError, Seen, Taken
from shedgrade.domain.grading.verdict import NotJudged, Reason, Verdict
from shedgrade.domain.spec.guards import besides_class_and_size
from shedgrade.domain.spec.measure import WEIGHT, Measure, Take
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.spec.names import named
from shedgrade.domain.trays.counts import CountResult, TrayType, count_for

__all__ = [
    "Defect",
    "Fruit",
    "GradingError",
    "NotJudged",
    "Reason",
    "Verdict",
    "blemish_surface_mm2",
    "borne_out",
    "figure",
    "grade",
    "size_codes",
    "sized_as",
]


def grade(
    spec: Spec, fruit: Fruit, tray: TrayType | None = None, code: str | None = None, load: Load = NOTHING_SAID
) -> Verdict:
    """Judge one fruit of a load: the best class whose limits it does not break, and why it missed the better ones.

    ``code`` is the size code on the pack; without one the fruit is judged for the code that gives the best class,
    the first in file order where several do. Limits whose measure was not taken do not stop a class, they are
    listed beside it. Raises GradingError for a code the fruit does not have and for a kind or measure the crop does
    not know.
    """
    plan = plan_for(spec, load)
    seen = plan.seen(fruit)
    taken = [each.take(seen) for each in plan.takers]
    codes = seen.sizes.codes
    size, placed, by_code = _best(plan, taken, seen, code)
    class_id = _class_at(spec, placed.place)
    count = count_for(tray, fruit.weight_dg) if tray is not None and class_id is not None else None
    judged = Judged(plan, seen, taken, size)
    return Verdict(
        class_id=class_id,
        codes=codes,
        judged_as=size,
        count=count,
        reasons=tuple(
            [
                judged.reason(spec.classes[place].id, check)
                for place, broken in enumerate(placed.broken)
                for check in broken
            ]
        ),
        not_judged=tuple([judged.not_judged(check) for check in placed.unsure]),
        outlet=_outlet(spec, class_id, placed, count),
        by_code=by_code,
        severities=tuple([judged.severity(number) for number in range(len(spec.severities))])
        if spec.severities
        else (),
    )


def size_codes(spec: Spec, fruit: Fruit, load: Load = NOTHING_SAID) -> tuple[str, ...]:
    """The size codes of a fruit, whatever the size table goes by; none when that was not taken."""
    return plan_for(spec, load).seen(fruit).sizes.codes


def sized_as(spec: Spec, fruit: Fruit, load: Load = NOTHING_SAID) -> str:
    """A fruit by the figure that its size goes by: "a fruit of 412 g", "a fruit of 63.5 mm diameter"; "" when that was
    not taken."""
    return _sized_as(plan_for(spec, load), plan_for(spec, load).seen(fruit))


def borne_out(spec: Spec, fruit: Fruit, code: str | None, load: Load = NOTHING_SAID) -> str | None:
    """The code on the pack where the fruit bears it out, or where its size was not taken; None otherwise."""
    if code is None:
        return None
    codes, _, missing = plan_for(spec, load).seen(fruit).sizes
    if codes or not missing:
        return code if code in codes else None
    return code if any(band.name == code for band in spec.scale.bands) else None


def figure(spec: Spec, measure: Measure, fruit: Fruit, load: Load = NOTHING_SAID) -> Taken:
    """One figure of a fruit, or of the load it belongs to."""
    plan = plan_for(spec, load)
    return FigureOf(plan, fruit)[plan.place(measure)]


class _Placed(NamedTuple):
    """Where a fruit comes out for one size: the place of its class, the broken checks of each better class."""

    place: int
    broken: list[list[Check | Ruling]]
    unsure: list[Check | Ruling]


def _place(table: Table, taken: list[Taken]) -> _Placed:
    answers = [judge(taken) for judge in table.judges]
    missed: list[list[Check | Ruling]] = []
    for place, numbers in enumerate(table.classes):
        broken = [table.checks[number] for number in numbers if answers[number] is Answer.BROKEN]
        if not broken:
            unsure = [table.checks[number] for number in numbers if answers[number] is Answer.NOT_JUDGED]
            return _Placed(place, missed, unsure)
        missed.append(broken)
    return _Placed(len(table.classes), missed, [])


_ByCode = tuple[tuple[str, str | None], ...]


def _best(plan: Plan, taken: list[Taken], seen: Seen, code: str | None) -> tuple[str | None, _Placed, _ByCode]:
    """The size it is judged for, how it comes out, and its class for each of its sizes."""
    codes = seen.sizes.codes
    if not codes:
        size, table = _without_size(plan, seen, code)
        return size, _place(table, taken), ()
    if code is not None and code not in codes:
        raise _not_that_size(plan, seen, code)
    spec, first = plan.spec, plan.tables[codes[0]]
    best, placed = codes[0], _place(first, taken)
    if len(codes) == 1:
        return best, placed, ((best, _class_at(spec, placed.place)),)
    found = {size: placed if plan.tables[size] is first else _place(plan.tables[size], taken) for size in codes}
    best = code if code is not None else min(found, key=lambda size: found[size].place)
    return best, found[best], tuple((size, _class_at(spec, each.place)) for size, each in found.items())


def _without_size(plan: Plan, seen: Seen, code: str | None) -> tuple[str | None, Table]:
    """What a fruit without a size code is judged by; where its size is not known, the code on the pack is believed."""
    unknown = bool(seen.sizes.missing)
    if code is None:
        return None, plan.unsized if unknown else plan.tables[None]
    if unknown and code in plan.tables:
        return code, plan.tables[code]
    raise _not_that_size(plan, seen, code)


def _not_that_size(plan: Plan, seen: Seen, code: str) -> GradingError:
    sizes = f"size {' or '.join(seen.sizes.codes)}" if seen.sizes.codes else "no size"
    return GradingError(f"{_sized_as(plan, seen) or 'this fruit'} is {sizes}, not size {code}")


def _sized_as(plan: Plan, seen: Seen) -> str:
    figure, scale = plan.sizer.figure(seen), plan.spec.scale
    if figure is None:
        return ""
    if scale.of == WEIGHT:
        return f"a fruit of {units.say_weight(seen.fruit.weight_dg)}"
    return f"a fruit of {say(Fraction(figure), scale.unit)} {named(plan.spec, scale.of)}"


def _class_at(spec: Spec, place: int) -> str | None:
    return spec.classes[place].id if place < len(spec.classes) else None


class Judged(NamedTuple):
    """A fruit with its figures and the size it was judged for: from here reasons and what is missing are told."""

    plan: Plan
    seen: Seen
    taken: Figures
    size: str | None

    def reason(self, class_id: str, ruling: Check | Ruling) -> Reason:
        """Why a limit kept it out of a class: the first way, with the others, which are broken too."""
        ways = [self._way(class_id, each.check) for each in ruling.deciding(self.taken)]
        return ways[0] if len(ways) == 1 else ways[0].beside(tuple(ways[1:]))

    def _way(self, class_id: str, check: Check) -> Reason:
        limit, row = self.plan.spec.limits[check.limit], check.row
        num, den, extent, kinds, most = self.taken[check.bounds.place]
        value = Fraction(num, den)
        if most is not None and not row.to.is_over(value):
            value, extent = Fraction(*most), Extent.EXACT
        return Reason(
            class_id=class_id,
            limit_id=limit.id,
            limit_name=limit.name,
            measure=check.measure,
            kinds=kinds,
            value=value,
            at_least=extent is not Extent.EXACT,
            allowed=row.to,
            size_code=self.size if row.sizes else None,
            sized_by=self.plan.sizer.figure(self.seen) if check.measure.take is Take.CODES else None,
            variety=self.plan.load.variety if row.varieties else None,
            guards="" if row.is_plain else besides_class_and_size(self.plan.spec, replace(row, varieties=())),
            source=row.source,
            test=self.plan.test(check.measure),
        )

    def not_judged(self, ruling: Check | Ruling) -> NotJudged:
        """What was not taken: facts of the load, kinds, states, measures; each once."""
        limit = self.plan.spec.limits[ruling.limit]
        missing = [word for each in ruling.deciding(self.taken) for word in self._missing(each)]
        return NotJudged(limit.id, limit.name, tuple(dict.fromkeys(missing)))

    def _missing(self, decided: Decided) -> list[str]:
        check = decided.check
        unsure = [check.bounds] if decided.known else check.switches
        judged = [each.place for each in unsure if each.judge(self.taken) is Answer.NOT_JUDGED]
        return [*check.unsaid, *(word for place in judged for word in self.plan.taker(place).missing(self.seen))]

    def severity(self, number: int) -> tuple[str, int | None, str]:
        """The step of a severity: its number and name, 0 and "" when nothing is there, None when it is not known."""
        severity = self.plan.spec.severities[number]
        taken = self.taken[self.plan.severities[number]]
        if taken.extent is not Extent.EXACT:
            return severity.id, None, ""
        return severity.id, taken.num, severity.steps[taken.num - 1].name if taken.num else ""


def _outlet(spec: Spec, class_id: str | None, placed: _Placed, count: CountResult | None) -> Outlet | None:
    """Where it goes: by the limits every class broke, or by the misfit with the tray; None when it is packed."""
    if class_id is not None:
        misfit = count.misfit if count is not None else None
        return spec.outlet_for(frozenset([misfit.value])) if misfit is not None else None
    everywhere = set.intersection(*({spec.limits[check.limit].id for check in broken} for broken in placed.broken))
    return spec.outlet_for(frozenset(everywhere))
