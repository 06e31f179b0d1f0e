"""What the verdict on a lot says to people: every percentage with its base, every figure with what is allowed."""

from collections.abc import Iterable
from fractions import Fraction

from shedgrade.domain import units
from shedgrade.domain.bound import say, say_exact
from shedgrade.domain.grading.lot_verdict import LotVerdict, PartVerdict, Place, Use
from shedgrade.domain.grading.package import PackageVerdict, Uneven
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import Basis

_FEW = 6


def say_lot(verdict: LotVerdict, spec: Spec) -> str:
    """The answer in one line: "Does not meet Class I; it would meet Class II"."""
    packed = spec.grade_class(verdict.class_id).name
    said = {
        Answer.HOLDS: f"Meets {packed}",
        Answer.BROKEN: f"Does not meet {packed}",
        Answer.NOT_JUDGED: f"Not known yet whether it meets {packed}",
    }[verdict.conforms]
    if verdict.would_meet is None:
        none = all(answer is Answer.BROKEN for _, answer in verdict.by_class)
        return f"{said}; it meets no class" if none else said
    if verdict.would_meet == verdict.class_id:
        return said
    return f"{said}; it would meet {spec.grade_class(verdict.would_meet).name}"


def say_reasons(verdict: LotVerdict) -> tuple[str, ...]:
    """Why it does not meet the class, one sentence each; empty when nothing is broken."""
    broken = [(part, use) for part in _parts(verdict) for use in part.uses if use.answer is Answer.BROKEN]
    uneven = [(each.package, said) for each in verdict.uneven for said in _say_broken(each.verdict)]
    return (
        *(f"{_named(part, use)}: {say_use(use)}" for part, use in broken),
        *_say_still(verdict),
        *_say_outside(verdict),
        *(f"package {package + 1}: {said}" for package, said in uneven),
    )


def say_open(verdict: LotVerdict, spec: Spec) -> tuple[str, ...]:
    """What was not judged, and of how many fruit; empty when everything was that matters."""
    uneven = [(each.package, said) for each in verdict.uneven for said in _say_open(each.verdict, spec)]
    return (
        *(f"not judged: {each.what.says(spec)}, of {_fruit(each.fruit)}" for each in verdict.not_judged),
        *(f"package {package + 1}: {said}" for package, said in uneven),
    )


def say_part(part: PartVerdict) -> str:
    """One figure of a tolerance with its name: for the whole lot, else for the package with the largest share."""
    use = part.whole or max(part.uses, key=lambda each: each.share)
    return f"{_named(part, use)}: {say_use(use)}"


def say_use(use: Use) -> str:
    """How much of a tolerance is used: "10 of 200 fruit = 5 % of the 10 % allowed; 10 more would still do"."""
    return f"{_counted(use)}{_allowed(use)}{_room(use)}"


def say_package(verdict: PackageVerdict, spec: Spec) -> tuple[str, ...]:
    """Why a package is not uniform, or why nobody can say; empty when it is uniform."""
    return *_say_broken(verdict), *_say_open(verdict, spec)


def say_places(places: Iterable[Place]) -> str:
    """Which fruit, a few of them by number: "fruit 3 and 5 of package 2 and 4 more"."""
    every = list(places)
    few = every[:_FEW]
    said = [
        f"fruit {listed([str(place.fruit + 1) for place in few if place.package == package])} of package {package + 1}"
        for package in dict.fromkeys(place.package for place in few)
    ]
    more = len(every) - len(few)
    return f"{', '.join(said)} and {more} more" if more else listed(said)


def _say_broken(verdict: PackageVerdict) -> list[str]:
    said = [f"{each.limit_name}: {_say_uneven(each)}" for each in verdict.broken]
    if verdict.breakers:
        which = listed([str(fruit + 1) for fruit in verdict.breakers])
        said.append(f"without {_fruit(len(verdict.breakers))} it would be uniform: number {which}")
    return said


def _say_open(verdict: PackageVerdict, spec: Spec) -> list[str]:
    return [f"not judged: {each.says(spec)}" for each in verdict.not_judged]


def _say_uneven(uneven: Uneven) -> str:
    apart = say(uneven.figure, uneven.measure.unit)
    most = say_exact(uneven.allowed.high or Fraction(0), uneven.measure.unit)
    ends = f"fruit {uneven.smallest + 1} and {uneven.largest + 1}"
    return f"{ends} are {apart} apart, {'at most' if uneven.allowed.high_closed else 'under'} {most} allowed"


def _say_still(verdict: LotVerdict) -> list[str]:
    broken = [each for part in _parts(verdict) for each in part.still if each.answer is Answer.BROKEN]
    names = dict.fromkeys(each.limit_name for each in broken)
    failing = {name: sorted({each.place for each in broken if each.limit_name == name}) for name in names}
    return [f"{name}: tolerated fruit must keep to this too; broken by {say_places(failing[name])}" for name in names]


def _say_outside(verdict: LotVerdict) -> list[str]:
    broken = [each for each in verdict.outside if each.answer is Answer.BROKEN]
    names = dict.fromkeys(name for each in broken for name in each.names)
    failing = {name: [each.place for each in broken if name in each.names] for name in names}
    return [f"{name}: no tolerance covers this; broken by {say_places(failing[name])}" for name in names]


def _parts(verdict: LotVerdict) -> list[PartVerdict]:
    return [part for tolerance in verdict.tolerances for part in tolerance.part.every()]


def _named(part: PartVerdict, use: Use) -> str:
    return f"{'' if use.package is None else f'package {use.package + 1}, '}{listed(part.names, 'or')}"


def _counted(use: Use) -> str:
    """So many of how many, and the share: "10 of 200 fruit = 5 %", "2.42 kg of 22 kg = 11 %"."""
    counted, share = _amount(use, use.least), units.say_percent(use.share, 2, trim=True)
    if use.most != use.least:
        counted = f"from {counted} to {_amount(use, use.most)}"
        share = f"from {share} to {units.say_percent(use.share_at_most, 2, trim=True)}"
    return f"{counted} of {_fruit(use.base) if use.basis is Basis.NUMBER else _amount(use, use.base)} = {share}"


def _allowed(use: Use) -> str:
    bound = use.allowed
    if bound.is_any or bound.is_nil:
        return f", {bound.says()} allowed"
    said = f"{bound.says()} fruit" if use.is_number else bound.says()
    if bound.low is not None:
        return f", {said} needed"
    within = bound.high_closed and not use.is_number and use.answer is Answer.HOLDS
    return f" of the {say_exact(bound.high or Fraction(0), bound.unit)} allowed" if within else f", {said} allowed"


def _room(use: Use) -> str:
    if use.answer is Answer.NOT_JUDGED:
        return "; not judged"
    said = []
    if use.room is not None:
        said.append(f"{_amount(use, use.room)} more would still do" if use.room > 0 else _full(use, use.room))
    if use.spare is not None:
        said.append(f"{_amount(use, use.spare)} less would still do" if use.spare > 0 else _short(use, use.spare))
    return "".join(f"; {each}" for each in said)


def _full(use: Use, room: int) -> str:
    return f"{_amount(use, -room)} too {'many' if use.basis is Basis.NUMBER else 'much'}" if room else "it is used up"


def _short(use: Use, spare: int) -> str:
    return f"{_amount(use, -spare)} short" if spare else "not one less would do"


def _amount(use: Use, figure: int) -> str:
    """So many fruit, or so many decigrams as a weight."""
    if use.basis is Basis.WEIGHT:
        return units.say_mass(Fraction(figure, units.DG_PER_G), 3, trim=True)
    return units.digits(figure)


def _fruit(number: int) -> str:
    return f"{units.digits(number)} fruit"
