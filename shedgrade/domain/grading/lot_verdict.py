"""The answer for a lot: what of each tolerance is used up, by which fruit, and what class the lot would meet."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.package import PackageVerdict
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.grading.verdict import NotJudged
from shedgrade.domain.spec.tolerance import Basis, Part, Tolerance


@dataclass(frozen=True, slots=True)
class Inspection:
    """What was looked at and what the label says. The basis is declared once, before the answer is known. Fruit that
    nobody packed together (``packed`` False: out of bins, off a belt) are asked neither to be uniform nor for the share
    of a single package: a share of a package is then one of all of them."""

    class_id: str
    code: str | None
    basis: Basis
    packages: tuple[tuple[Fruit, ...], ...]
    load: Load = NOTHING_SAID
    packed: bool = True


class Place(NamedTuple):
    """One fruit of an inspection: the index of its package, and its own in there."""

    package: int
    fruit: int


@dataclass(frozen=True, slots=True)
class Use:
    """How much of a tolerance is used: by the whole lot, or by one package (its index).

    ``least`` to ``most`` are counted, of ``base``: fruit, or decigrams when the basis is weight. They differ by fruit
    that nobody could judge. ``allowed`` is a share of the base, or a number of fruit (``is_number``).
    """

    least: int
    most: int
    base: int
    basis: Basis
    allowed: Bound
    package: int | None = None

    @property
    def is_number(self) -> bool:
        """Whether what is allowed is a number of fruit."""
        return is_number(self.allowed)

    @property
    def share(self) -> Fraction:
        """The share of the base that is counted for certain."""
        return Fraction(self.least, self.base)

    @property
    def share_at_most(self) -> Fraction:
        """The share if every fruit not judged were counted too."""
        return Fraction(self.most, self.base)

    @property
    def answer(self) -> Answer:
        """Whether it is within what is allowed, exactly, whichever way the fruit not judged fall."""
        low, high = (self.least, self.most) if self.is_number else (self.share, self.share_at_most)
        if self.allowed.is_over(low) or self.allowed.is_under(high):
            return Answer.BROKEN
        return Answer.HOLDS if self.allowed.allows(low) and self.allowed.allows(high) else Answer.NOT_JUDGED

    @property
    def room(self) -> int | None:
        """How much more of this kind would still do, counting what nobody judged; below 0, how much is too much for
        certain; None without an upper end."""
        allowed = self._whole()[1]
        return None if allowed is None else max(0, allowed - self.most) or min(0, allowed - self.least)

    @property
    def spare(self) -> int | None:
        """How much less of this kind would still do, leaving out what nobody judged; below 0, how much is lacking for
        certain; None without a lower end."""
        needed = self._whole()[0]
        return None if needed is None else max(0, self.least - needed) or min(0, self.most - needed)

    def _whole(self) -> tuple[int | None, int | None]:
        """The least and the most allowed, in whole fruit or decigrams."""
        times = 1 if self.is_number else self.base
        low, high = self.allowed.low, self.allowed.high
        return Bound(
            None if low is None else low * times,
            None if high is None else high * times,
            self.allowed.low_closed,
            self.allowed.high_closed,
        ).whole()


@dataclass(frozen=True, slots=True)
class StillBroken:
    """A tolerated fruit that does not hold what it must hold even so; BROKEN or NOT_JUDGED."""

    place: Place
    limit_id: str
    limit_name: str
    answer: Answer


@dataclass(frozen=True, slots=True)
class PartVerdict:
    """One figure of a tolerance. ``uses`` are all shares asked: the whole lot's first, then those of single packages.

    ``fruit`` are counted for certain, ``unsure`` perhaps. ``within`` are the figures inside this one.
    """

    part: Part
    names: tuple[str, ...]
    uses: tuple[Use, ...]
    fruit: tuple[Place, ...]
    unsure: tuple[Place, ...]
    still: tuple[StillBroken, ...]
    within: tuple["PartVerdict", ...]

    @property
    def whole(self) -> Use | None:
        """The share of the whole lot, where it is asked."""
        return next((use for use in self.uses if use.package is None), None)

    @property
    def own_answer(self) -> Answer:
        """The answer for this figure alone, without those inside."""
        return together([*(use.answer for use in self.uses), *(each.answer for each in self.still)])

    @property
    def answer(self) -> Answer:
        """The answer for this figure and all inside."""
        return together([self.own_answer, *(part.answer for part in self.within)])

    def every(self) -> Iterator["PartVerdict"]:
        """This figure, then all inside, outer ones first."""
        yield self
        for part in self.within:
            yield from part.every()

    def breakers(self) -> Iterator[Place]:
        """The fruit of every figure that is exceeded, and those that do not hold what they must."""
        for part in self.every():
            yield from (each.place for each in part.still if each.answer is Answer.BROKEN)
            for use in part.uses:
                if use.allowed.is_over(use.least if use.is_number else use.share):
                    yield from (place for place in part.fruit if use.package in (None, place.package))


@dataclass(frozen=True, slots=True)
class ToleranceVerdict:
    """One tolerance of the class."""

    tolerance: Tolerance
    part: PartVerdict

    @property
    def answer(self) -> Answer:
        """Whether it is kept to."""
        return self.part.answer


@dataclass(frozen=True, slots=True)
class Outside:
    """A fruit that fails something no tolerance of the class allows for: limits by name, or the size on the label."""

    place: Place
    names: tuple[str, ...]
    answer: Answer


@dataclass(frozen=True, slots=True)
class UnevenPackage:
    """A package that is not uniform, or perhaps not, and no tolerance takes care of that."""

    package: int
    verdict: PackageVerdict


@dataclass(frozen=True, slots=True)
class Open:
    """Something that was not judged, and for how many fruit that left an answer open."""

    what: NotJudged
    fruit: int


@dataclass(frozen=True, slots=True)
class LotVerdict:
    """Whether a lot conforms to the class on its label, by the fruit looked at.

    ``outside`` are fruit, ``uneven`` packages that no tolerance takes care of. ``packages`` say of every package
    whether it is uniform; none where the fruit were not packed. ``by_class`` answers for every class, best first, whose
    tolerances allow the basis.
    """

    conforms: Answer
    class_id: str
    code: str | None
    basis: Basis
    fruit: int
    weight_dg: int
    tolerances: tuple[ToleranceVerdict, ...]
    packages: tuple[PackageVerdict, ...]
    outside: tuple[Outside, ...]
    uneven: tuple[UnevenPackage, ...]
    not_judged: tuple[Open, ...]
    by_class: tuple[tuple[str, Answer], ...]

    @property
    def would_meet(self) -> str | None:
        """The best class the lot conforms to for certain, None when there is none."""
        return next((class_id for class_id, answer in self.by_class if answer is Answer.HOLDS), None)

    @property
    def breakers(self) -> tuple[Place, ...]:
        """The fruit that break it, in order."""
        found = {each.place for each in self.outside if each.answer is Answer.BROKEN}
        found.update(place for tolerance in self.tolerances for place in tolerance.part.breakers())
        found.update(Place(each.package, fruit) for each in self.uneven for fruit in each.verdict.breakers)
        return tuple(sorted(found))


def is_number(bound: Bound) -> bool:
    """Whether a tolerance is a number of fruit, "<= 1", and not a share, "<= 1 %"; nil and any are both."""
    return bound.unit is Unit.NUMBER and not bound.is_nil and not bound.is_any


def together(answers: list[Answer]) -> Answer:
    """One broken breaks all, else one not judged leaves all open."""
    if Answer.BROKEN in answers:
        return Answer.BROKEN
    return Answer.NOT_JUDGED if Answer.NOT_JUDGED in answers else Answer.HOLDS
