"""Whether a lot conforms to the class on its label, by the tolerances of its spec.

Read ``judge_lot`` first. Every share is a fraction of whole fruit or whole decigrams and is compared exactly; fruit
that nobody could judge make it a range, and only an answer that is the same at both ends is given.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from shedgrade.domain.bound import Bound
from shedgrade.domain.grading.lot_fruit import LotFruit, told
from shedgrade.domain.grading.lot_sets import LotSets
from shedgrade.domain.grading.lot_verdict import (
    Inspection,
    LotVerdict,
    Open,
    Outside,
    PartVerdict,
    Place,
    StillBroken,
    ToleranceVerdict,
    Use,
    is_number,
    together,
)
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.grading.takes import GradingError
from shedgrade.domain.grading.told import Told, all_of
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import Basis, Part, Scope, Tolerance

__all__ = ["Inspection", "LotVerdict", "judge_lot", "no_basis"]

_NEXT_SIZE = "one size up or down at most"


def judge_lot(spec: Spec, inspected: Inspection) -> LotVerdict:
    """Judge the packages looked at as one lot.

    A fruit that fails what no tolerance of the class takes care of breaks the lot by itself. GradingError for a class
    or size the spec does not have, for no fruit at all, and for a basis that a tolerance of the class does not allow.
    """
    _check(spec, inspected)
    lot = LotFruit(spec, inspected)
    classes = [each.id for each in spec.classes if inspected.basis in spec.bases_of(each.id)]
    verdicts = {each: _judge(LotSets(lot, each)) for each in classes}
    by_class = tuple((each, verdict.conforms) for each, verdict in verdicts.items())
    return replace(verdicts[inspected.class_id], by_class=by_class)


def _check(spec: Spec, inspected: Inspection) -> None:
    if inspected.class_id not in [each.id for each in spec.classes]:
        raise GradingError(
            f'the spec has no class "{inspected.class_id}": {listed([each.id for each in spec.classes], "or")}'
        )
    sizes = spec.scale.names
    if inspected.code is not None and inspected.code not in sizes:
        raise GradingError(f'the spec has no size "{inspected.code}": {listed(sizes, "or") or "it has no sizes"}')
    if not all(inspected.packages) or not inspected.packages:
        raise GradingError("an inspection needs at least one fruit in every package")
    if not spec.bases_of(inspected.class_id):
        raise GradingError(no_basis(spec, inspected.class_id))
    wrong = [each for each in spec.tolerances_of(inspected.class_id) if inspected.basis not in each.basis]
    if wrong:
        raise GradingError(f'"{wrong[0].name}" is counted {_counted(wrong[0])}, not by {inspected.basis}')


def no_basis(spec: Spec, class_id: str) -> str:
    """Why a lot cannot be judged as a class that no basis fits, and what can be done; "" where one does."""
    if spec.bases_of(class_id):
        return ""
    counted = listed([f'"{each.name}" is counted {_counted(each)}' for each in spec.tolerances_of(class_id)])
    return (
        f"{spec.grade_class(class_id).name} cannot be judged as a lot: {counted}, and an inspection counts one way for "
        "all. Count each tolerance by itself, or have the spec changed so that they share a way of counting"
    )


def _counted(tolerance: Tolerance) -> str:
    return listed([f"by {basis}" for basis in tolerance.basis], "or")


def _judge(sets: LotSets) -> LotVerdict:
    lot = sets.lot
    tolerances = tuple(ToleranceVerdict(each, _part(sets, each, each.part, {})) for each in sets.tolerances)
    outside = tuple(found for place in lot.places if (found := sets.outside(place)) is not None)
    packages = range(len(lot.inspected.packages)) if lot.inspected.packed else range(0)
    uneven = tuple(each for number in packages if (each := sets.uneven(number)) is not None)
    answers = [
        *(each.answer for each in tolerances),
        *(each.answer for each in outside),
        *(each.verdict.uniform for each in uneven),
    ]
    conforms = together(answers)
    return LotVerdict(
        conforms=conforms,
        class_id=sets.class_id,
        code=lot.inspected.code,
        basis=lot.inspected.basis,
        fruit=len(lot.places),
        weight_dg=sum(lot.fruit(place).weight_dg for place in lot.places),
        tolerances=tolerances,
        packages=tuple(lot.package(number, sets.class_id, lot.package_limits) for number in packages),
        outside=outside,
        uneven=uneven,
        not_judged=_open(sets, tolerances, outside),
        by_class=(),
    )


def _part(sets: LotSets, tolerance: Tolerance, part: Part, outer: dict[Place, Told]) -> PartVerdict:
    """One figure of a tolerance; ``outer`` says of each fruit whether it is in the figure around it (empty: none)."""
    lot = sets.lot
    inside = {place: all_of([outer.get(place, True), sets.in_part(place, part)]) for place in lot.places}
    return PartVerdict(
        part=part,
        names=tuple(sets.named[each].name for each in part.of),
        uses=tuple(_uses(lot, tolerance, part, inside)),
        fruit=tuple(place for place, told in inside.items() if told),
        unsure=tuple(place for place, told in inside.items() if told is None),
        still=tuple(_still(sets, part, inside)),
        within=tuple(_part(sets, tolerance, each, inside) for each in part.within),
    )


def _uses(lot: LotFruit, tolerance: Tolerance, part: Part, inside: dict[Place, Told]) -> Iterable[Use]:
    """The shares asked: of all fruit, and of single packages."""
    if tolerance.scope is not Scope.PACKAGE or not lot.inspected.packed:
        yield _use(lot, inside, part.to, None)
    if not lot.inspected.packed:
        return
    times = Fraction(1) if tolerance.scope is Scope.PACKAGE else part.package_times
    if times is not None:
        allowed = part.to if part.to.high is None else replace(part.to, high=part.to.high * times)
        for package in range(len(lot.inspected.packages)):
            yield _use(
                lot, {place: told for place, told in inside.items() if place.package == package}, allowed, package
            )


def _use(lot: LotFruit, inside: dict[Place, Told], allowed: Bound, package: int | None) -> Use:
    by_number = lot.inspected.basis is Basis.NUMBER or is_number(allowed)
    sizes = {place: 1 if by_number else lot.fruit(place).weight_dg for place in inside}
    return Use(
        least=sum(sizes[place] for place, told in inside.items() if told),
        most=sum(sizes[place] for place, told in inside.items() if told is not False),
        base=sum(sizes.values()),
        basis=Basis.NUMBER if by_number else Basis.WEIGHT,
        allowed=allowed,
        package=package,
    )


def _still(sets: LotSets, part: Part, inside: dict[Place, Told]) -> Iterable[StillBroken]:
    """The tolerated fruit that do not hold, or perhaps not, what they must hold even so."""
    lot = sets.lot
    perhaps = [place for place, told in inside.items() if told is not False]
    for name in part.still:
        limit = lot.spec.limit(name)
        for place in perhaps:
            holds = told(lot.answer(place, limit, sets.class_id))
            yield from _broken(place, limit.id, limit.name, inside[place], holds)
    if part.next_size:
        for place in perhaps:
            yield from _broken(place, "next_size", _NEXT_SIZE, inside[place], lot.is_next_size(place))


def _broken(place: Place, limit_id: str, name: str, inside: Told, holds: Told) -> Iterable[StillBroken]:
    if not holds:
        sure = inside and holds is False
        yield StillBroken(place, limit_id, name, Answer.BROKEN if sure else Answer.NOT_JUDGED)


def _open(sets: LotSets, tolerances: tuple[ToleranceVerdict, ...], outside: tuple[Outside, ...]) -> tuple[Open, ...]:
    """What was not judged of the fruit that are perhaps in a part, or perhaps fail."""
    parts = [part for each in tolerances for part in each.part.every()]
    places = {place for part in parts for place in part.unsure}
    places.update(each.place for part in parts for each in part.still if each.answer is Answer.NOT_JUDGED)
    places.update(each.place for each in outside if each.answer is Answer.NOT_JUDGED)
    found = Counter(each for place in sorted(places) for each in sets.not_judged(place))
    return tuple(Open(what, fruit) for what, fruit in found.items())
