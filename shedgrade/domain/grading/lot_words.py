"""What the verdict on a lot says to people: every percentage with its base, every figure with what is allowed."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain import units
from shedgrade.domain.bound import say, say_exact
from shedgrade.domain.grading.lot_verdict import LotVerdict, PartVerdict, Place, Use
from shedgrade.domain.grading.package import PackageVerdict, Uneven
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import Basis

_FEW = 6


@dataclass(frozen=True, slots=True)
class Names:
    """What packages and their fruit are called: by number in the package, or by what a file or a sample calls them.
    ``numbers`` are those of the fruit of each package: of their lines in a file, say, ``one`` or ``many`` of them."""

    packages: tuple[str, ...] = ()
    numbers: tuple[tuple[int, ...], ...] = ()
    one: str = "fruit"
    many: str = "fruit"

    def package(self, number: int) -> str:
        """A package by its index."""
        return self.packages[number] if self.packages else f"package {number + 1}"

    def fruit(self, package: int, fruit: Sequence[int]) -> str:
        """Fruit of a package by their indexes: "fruit 3 and 5", "lines 12 and 14"."""
        called = [str(self.numbers[package][each] if self.numbers else each + 1) for each in fruit]
        return f"{self.one if len(called) == 1 else self.many} {listed(called)}"


BY_NUMBER = Names()


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


class Said(NamedTuple):
    """A sentence and the fruit it is about; ``package`` when all of them are of the one that the sentence names."""

    words: str
    places: tuple[Place, ...] = ()
    package: int | None = None

    def says(self, names: Names = BY_NUMBER) -> str:
        """The sentence with a few of its fruit by number: "rot: no tolerance covers this (fruit 3 of package 2)"."""
        if not self.places:
            return self.words
        package = self.package
        if package is None:
            return f"{self.words} ({say_places(self.places, names)})"
        return f"{self.words} ({_few(self.places, lambda few: names.fruit(package, [each.fruit for each in few]))})"


def reasons(verdict: LotVerdict, names: Names = BY_NUMBER) -> tuple[Said, ...]:
    """Why it does not meet the class, each once; empty when nothing is broken."""
    broken = [(part, use) for part in _parts(verdict) for use in part.uses if use.answer is Answer.BROKEN]
    return (
        *(_exceeded(part, use, names) for part, use in broken),
        *_still(_parts(verdict)),
        *_outside(verdict),
        *(headed(said, names) for each in verdict.uneven for said in _uneven(each.verdict, each.package)),
    )


def say_reasons(verdict: LotVerdict, names: Names = BY_NUMBER) -> tuple[str, ...]:
    """The reasons, one sentence each, with a few of the fruit by number."""
    return tuple(each.says(names) for each in reasons(verdict, names))


def headed(said: Said, names: Names = BY_NUMBER) -> Said:
    """What is said of a package, with its name before it."""
    return said if said.package is None else said._replace(words=f"{names.package(said.package)}, {said.words}")


def say_open(verdict: LotVerdict, spec: Spec, names: Names = BY_NUMBER) -> tuple[str, ...]:
    """What was not judged, and of how many fruit; empty when everything was that matters."""
    uneven = [said for each in verdict.uneven for said in _open(each.verdict, spec, each.package)]
    return (
        *(f"not judged: {each.what.says(spec)}, of {_fruit(each.fruit)}" for each in verdict.not_judged),
        *(headed(said, names).words for said in uneven),
    )


def say_part(part: PartVerdict, names: Names = BY_NUMBER, *, room: bool = True) -> str:
    """One figure of a tolerance with its name: for the whole lot, else for the package with the largest share. Without
    its ``room``, where more of it would not do for another reason."""
    use = part.whole or fullest(part)
    said = say_use(use) if room else f"{_counted(use)}, {use.allowed.says()}{' fruit' if use.is_number else ''}"
    return f"{_named(part, use, names)}: {said}"


def failing(part: PartVerdict) -> tuple[str, ...]:
    """What of a tolerance is not kept to, each once: figures that are exceeded, limits of the fruit let in."""
    found: list[str] = []
    for each in part.every():
        found += [listed(each.names, "or")] if any(use.answer is Answer.BROKEN for use in each.uses) else []
        found += [one.limit_name for one in each.still if one.answer is Answer.BROKEN]
    return tuple(dict.fromkeys(found))


def say_singly(part: PartVerdict, names: Names = BY_NUMBER) -> tuple[str, ...]:
    """The single packages of which nobody knows whether they are within a figure; where all are, the one nearest to
    it. Those over it are among the reasons. Empty when the figure does not ask single packages."""
    single = [use for use in part.uses if use.package is not None]
    shown = [use for use in single if use.answer is Answer.NOT_JUDGED]
    if single and all(use.answer is Answer.HOLDS for use in single):
        shown = [fullest(part)]
    return tuple(f"{names.package(use.package or 0)}: {say_use(use)}" for use in shown)


def fullest(part: PartVerdict) -> Use:
    """The single package with the largest share."""
    return max((use for use in part.uses if use.package is not None), key=lambda each: each.share)


def say_use(use: Use) -> str:
    """How much of a tolerance is used: "10 of 200 fruit = 5 % of the 10 % allowed; 10 more would still do"."""
    return f"{_counted(use)}{_allowed(use)}{_room(use)}"


def of_package(verdict: PackageVerdict, spec: Spec, package: int = 0) -> tuple[Said, ...]:
    """Why a package is not uniform, or why nobody can say; empty when it is uniform."""
    return *_uneven(verdict, package), *_open(verdict, spec, package)


def say_package(verdict: PackageVerdict, spec: Spec, package: int = 0, names: Names = BY_NUMBER) -> tuple[str, ...]:
    """The same, one sentence each, with the fruit by number."""
    return tuple(each.says(names) for each in of_package(verdict, spec, package))


def say_places(places: Sequence[Place], names: Names = BY_NUMBER) -> str:
    """Which fruit, a few of them by number: "fruit 3 and 5 of package 2 and 4 more"."""
    return _few(places, lambda few: _by_package(few, names))


def _few(places: Sequence[Place], say_them: Callable[[Sequence[Place]], str]) -> str:
    more = len(places) - _FEW
    return f"{say_them(places[:_FEW])}{f' and {more} more' if more > 0 else ''}"


def _by_package(places: Iterable[Place], names: Names) -> str:
    by_package: dict[int, list[int]] = {}
    for place in places:
        by_package.setdefault(place.package, []).append(place.fruit)
    return listed(
        [f"{names.fruit(package, fruit)} of {names.package(package)}" for package, fruit in by_package.items()]
    )


def _exceeded(part: PartVerdict, use: Use, names: Names) -> Said:
    """A share that is not kept to, with the fruit it counts; of a least share it is the others that are too many."""
    counted = () if use.allowed.low is not None else part.fruit
    places = tuple(place for place in counted if use.package in (None, place.package))
    return headed(Said(f"{listed(part.names, 'or')}: {say_use(use)}", places, use.package), names)


def _uneven(verdict: PackageVerdict, package: int) -> Iterator[Said]:
    for each in verdict.broken:
        ends = (Place(package, each.smallest), Place(package, each.largest))
        yield Said(f"{each.limit_name}: two fruit are {_apart(each)}", ends, package)
    if verdict.breakers:
        places = tuple(Place(package, fruit) for fruit in verdict.breakers)
        yield Said(f"without {_fruit(len(places))} it would be uniform", places, package)


def _open(verdict: PackageVerdict, spec: Spec, package: int) -> Iterator[Said]:
    return (Said(f"not judged: {each.says(spec)}", (), package) for each in verdict.not_judged)


def _apart(uneven: Uneven) -> str:
    apart = say(uneven.figure, uneven.measure.unit)
    most = say_exact(uneven.allowed.high or Fraction(0), uneven.measure.unit)
    return f"{apart} apart, {'at most' if uneven.allowed.high_closed else 'under'} {most} allowed"


def _still(parts: Iterable[PartVerdict]) -> Iterator[Said]:
    """The tolerated fruit that do not hold what they must even so, by limit."""
    failing: dict[str, set[Place]] = {}
    for each in (each for part in parts for each in part.still if each.answer is Answer.BROKEN):
        failing.setdefault(each.limit_name, set()).add(each.place)
    for name, places in failing.items():
        yield Said(f"{name}: tolerated fruit must keep to this too", tuple(sorted(places)))


def _outside(verdict: LotVerdict) -> Iterator[Said]:
    """The fruit that no tolerance covers, by what they fail."""
    failing: dict[str, list[Place]] = {}
    for each in verdict.outside:
        for name in each.names if each.answer is Answer.BROKEN else ():
            failing.setdefault(name, []).append(each.place)
    for name, places in failing.items():
        yield Said(f"{name}: no tolerance covers this", tuple(places))


def _parts(verdict: LotVerdict) -> list[PartVerdict]:
    return [part for tolerance in verdict.tolerances for part in tolerance.part.every()]


def _named(part: PartVerdict, use: Use, names: Names) -> str:
    return f"{'' if use.package is None else f'{names.package(use.package)}, '}{listed(part.names, 'or')}"


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
    by_number = use.basis is Basis.NUMBER
    if room:
        return f"{_amount(use, -room)} too {'many' if by_number else 'much'}"
    return f"{'not one' if by_number else 'nothing'} more would do"


def _short(use: Use, spare: int) -> str:
    return f"{_amount(use, -spare)} short" if spare else "not one less would do"


def _amount(use: Use, figure: int) -> str:
    """So many fruit, or so many decigrams as a weight."""
    if use.basis is Basis.WEIGHT:
        return units.say_mass(Fraction(figure, units.DG_PER_G), 3, trim=True)
    return units.digits(figure)


def _fruit(number: int) -> str:
    return f"{units.digits(number)} fruit"
