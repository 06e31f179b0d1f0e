"""What a lot verdict says to people. Every percentage stands with its base, every figure with what is allowed."""

from fractions import Fraction

from shedgrade.domain import units
from shedgrade.domain.bound import say, say_exact
from shedgrade.domain.grading.lot_verdict import LotVerdict, PartVerdict, Place, Use
from shedgrade.domain.grading.package import PackageVerdict, Uneven
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.grading.words import listed
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.tolerance import Basis

_FEW = 6


def say_lot(verdict: LotVerdict, spec: Spec) -> str:
    """The answer in one line: "Does not conform to Class I; it would conform to Class II"."""
    packed = spec.grade_class(verdict.class_id).name
    said = {
        Answer.HOLDS: f"Conforms to {packed}",
        Answer.BROKEN: f"Does not conform to {packed}",
        Answer.NOT_JUDGED: f"Nobody can say yet whether it conforms to {packed}",
    }[verdict.conforms]
    if verdict.would_meet is None:
        none = all(answer is Answer.BROKEN for _, answer in verdict.by_class)
        return f"{said}; it conforms to no class" if none else said
    if verdict.would_meet == verdict.class_id:
        return said
    return f"{said}; it would conform to {spec.grade_class(verdict.would_meet).name}"


def say_reasons(verdict: LotVerdict, spec: Spec) -> tuple[str, ...]:
    """Why it does not conform, or why nobody can say, one sentence each; empty when it conforms."""
    said = [
        f"{_package(use)}{_names(part)}: {say_use(use)}"
        for tolerance in verdict.tolerances
        for part in tolerance.part.every()
        for use in part.uses
        if use.answer is Answer.BROKEN
    ]
    said += _say_still(verdict) + _say_outside(verdict)
    said += [
        f"package {each.package + 1}: {each_said}"
        for each in verdict.uneven
        for each_said in say_package(each.verdict, spec)
    ]
    said += [f"not judged: {each.what.says(spec)}, of {_fruit(each.fruit)}" for each in verdict.not_judged]
    return tuple(said)


def say_use(use: Use) -> str:
    """How much of a tolerance is used: "10 of 200 fruit = 5 % of the 10 % allowed; 10 more would still do"."""
    return f"{_counted(use)}{_allowed(use)}{_room(use)}"


def say_part(part: PartVerdict) -> str:
    """One figure of a tolerance for the whole lot, with its name; of single packages, the fullest one."""
    use = part.whole or max(part.uses, key=lambda each: each.share)
    return f"{_package(use)}{_names(part)}: {say_use(use)}"


def say_package(verdict: PackageVerdict, spec: Spec) -> tuple[str, ...]:
    """Why a package is not uniform, or why nobody can say; empty when it is uniform."""
    said = [f"{each.limit_name}: {_say_uneven(each)}" for each in verdict.broken]
    if verdict.breakers:
        out = len(verdict.breakers)
        said.append(f"without {_fruit(out)} it would be uniform: {_which(verdict.breakers)}")
    said += [f"not judged: {each.says(spec)}" for each in verdict.not_judged]
    return tuple(said)


def say_place(place: Place) -> str:
    """Which fruit: "fruit 3 of package 2"."""
    return f"fruit {place.fruit + 1} of package {place.package + 1}"


def say_places(places: tuple[Place, ...]) -> str:
    """Which fruit, a few of them by name: "fruit 3 of package 2, fruit 5 of package 2 and 4 more"."""
    said = [say_place(place) for place in places[:_FEW]]
    more = len(places) - _FEW
    return f"{', '.join(said)} and {more} more" if more > 0 else listed(said)


def _say_uneven(uneven: Uneven) -> str:
    apart = say(uneven.figure, uneven.measure.unit)
    most = say_exact(uneven.allowed.high or Fraction(0), uneven.measure.unit)
    ends = f"fruit {uneven.smallest + 1} and fruit {uneven.largest + 1}"
    return f"{ends} are {apart} apart, {'at most' if uneven.allowed.high_closed else 'under'} {most} allowed"


def _say_still(verdict: LotVerdict) -> list[str]:
    parts = [part for tolerance in verdict.tolerances for part in tolerance.part.every()]
    broken = [each for part in parts for each in part.still if each.answer is Answer.BROKEN]
    names = dict.fromkeys(each.limit_name for each in broken)
    failing = {name: tuple(sorted({each.place for each in broken if each.limit_name == name})) for name in names}
    return [
        f"{name}: fruit under a tolerance must hold this too, and {_do_not(places)}" for name, places in failing.items()
    ]


def _say_outside(verdict: LotVerdict) -> list[str]:
    broken = [each for each in verdict.outside if each.answer is Answer.BROKEN]
    names = dict.fromkeys(name for each in broken for name in each.names)
    failing = {name: tuple(each.place for each in broken if name in each.names) for name in names}
    return [f"{name}: the spec has no tolerance for it, and {_do_not(places)}" for name, places in failing.items()]


def _do_not(places: tuple[Place, ...]) -> str:
    return f"{say_places(places)} {'does' if len(places) == 1 else 'do'} not"


def _names(part: PartVerdict) -> str:
    return listed(part.names, "or")


def _package(use: Use) -> str:
    return "" if use.package is None else f"package {use.package + 1}, "


def _counted(use: Use) -> str:
    """So many of how many, and the share: "10 of 200 fruit = 5 %", "2.42 kg of 22 kg = 11 %"."""
    counted = _amount(use, use.least, last=False)
    share = units.say_percent(use.share, 2, trim=True)
    if use.most != use.least:
        counted = f"from {counted} to {_amount(use, use.most, last=False)}"
        share = f"from {share} to {units.say_percent(use.share_at_most, 2, trim=True)}"
    return f"{counted} of {_amount(use, use.base)} = {share}"


def _allowed(use: Use) -> str:
    bound = use.allowed
    if bound.is_any:
        return ", any number allowed"
    if bound.is_nil:
        return ", none allowed"
    said = bound.says()
    if use.is_number:
        return f", {said} fruit allowed"
    if bound.low is None and bound.high_closed and use.answer is Answer.HOLDS:
        return f" of the {say_exact(bound.high or Fraction(0), bound.unit)} allowed"
    return f", {said} allowed" if bound.low is None else f", {said} needed"


def _room(use: Use) -> str:
    if use.answer is Answer.NOT_JUDGED:
        return "; not judged"
    room, spare = use.room, use.spare
    said = []
    if room is not None:
        said.append(f"{_amount(use, room, last=False)} more would still do" if room > 0 else _full(use, room))
    if spare is not None:
        said.append(f"{_amount(use, spare, last=False)} less would still do" if spare > 0 else _short(use, spare))
    return "".join(f"; {each}" for each in said)


def _full(use: Use, room: int) -> str:
    return "it is used up" if room == 0 else f"{_amount(use, -room, last=False)} too much"


def _short(use: Use, spare: int) -> str:
    return "not one less would do" if spare == 0 else f"{_amount(use, -spare, last=False)} short"


def _amount(use: Use, figure: int, *, last: bool = True) -> str:
    """So many fruit, or so many decigrams as a weight; ``last`` says whether the word fruit stands with it."""
    if use.basis is Basis.WEIGHT:
        return units.say_mass(Fraction(figure, units.DG_PER_G), 3, trim=True)
    return _fruit(figure) if last else units.digits(figure)


def _fruit(number: int) -> str:
    return f"{units.digits(number)} fruit"


def _which(fruit: tuple[int, ...]) -> str:
    return listed([f"fruit {each + 1}" for each in fruit])
