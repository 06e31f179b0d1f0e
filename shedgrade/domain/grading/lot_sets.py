"""Which fruit a tolerance takes in, and which fail something that no tolerance takes care of.

Quality and size are apart. Size is: the size on the label, the limits on how many sizes a fruit has, and the limits
that a set with ``other_size`` breaks (a least weight, say). What a fruit fails of these does not count against its
class in ``below`` and ``meets``: standards give size a tolerance of its own.
"""

from collections.abc import Iterator

from shedgrade.domain.grading.lot_fruit import LotFruit, told
from shedgrade.domain.grading.lot_verdict import Outside, Place, UnevenPackage
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.grading.told import Told, all_of, any_of, opposite
from shedgrade.domain.grading.verdict import NotJudged
from shedgrade.domain.spec.limit import Level, Limit
from shedgrade.domain.spec.measure import Take
from shedgrade.domain.spec.tolerance import FruitSet, Part


class LotSets:
    """The sets of a spec, for the fruit of one lot packed as one class."""

    def __init__(self, lot: LotFruit, class_id: str) -> None:
        self.lot = lot
        self.class_id = class_id
        self.named = {each.id: each for each in lot.spec.sets}
        self.tolerances = lot.spec.tolerances_of(class_id)
        # A least share ("at least 60 %") lets nothing pass; every other tolerance takes care of the fruit in it.
        parts = [each.part for each in self.tolerances if each.part.to.low is None]
        self.taken_care_of = tuple(one for part in parts for one in self._with_inner(part.of))
        self.asks_size = any(one.other_size for one in self.taken_care_of)
        self.size_limits = self._size_limits()
        self.alone = tuple(limit for limit in lot.limits if not self._is_covered(limit))
        uneven = (lot.spec.limit(each) for each in lot.package_limits)
        self.uneven_alone = frozenset(limit.id for limit in uneven if not self._is_covered(limit))

    def in_part(self, place: Place, part: Part) -> Told:
        """Whether a fruit is in one of a part's sets."""
        return any_of(self.in_set(place, self.named[each]) for each in part.of)

    def in_set(self, place: Place, one: FruitSet) -> Told:
        """Whether at least one condition of a set holds for a fruit."""
        lot = self.lot
        found = [self.in_set(place, self.named[each]) for each in one.sets]
        found += [self._breaks(place, lot.spec.limit(each), one) for each in one.breaks]
        if one.below is not None:
            found.append(opposite(lot.makes(place, one.below, self.size_limits)))
        if one.meets is not None:
            found.append(lot.makes(place, one.meets, self.size_limits))
        if one.has:
            found.append(lot.has(place, one.has))
        if one.other_size:
            found.append(opposite(lot.has_size(place)))
        return any_of(found)

    def outside(self, place: Place) -> Outside | None:
        """What a fruit fails, or perhaps fails, of the class packed as that no tolerance takes care of."""
        fails = [(limit.name, self._fails(place, limit)) for limit in self.alone]
        if self.lot.inspected.code is not None and not self.asks_size:
            fails.append((f"size {self.lot.inspected.code}", opposite(self.lot.has_size(place))))
        worst = any_of(each for _, each in fails)
        if worst is False:
            return None
        names = tuple(name for name, each in fails if each is worst)
        return Outside(place, names, Answer.BROKEN if worst else Answer.NOT_JUDGED)

    def uneven(self, package: int) -> UnevenPackage | None:
        """A package that is not uniform, or perhaps not, by limits that no tolerance takes care of."""
        verdict = self.lot.package(package, self.class_id, self.uneven_alone)
        return None if verdict.uniform is Answer.HOLDS else UnevenPackage(package, verdict)

    def not_judged(self, place: Place) -> tuple[NotJudged, ...]:
        """What was not judged of a fruit: limits of any class or of tolerated fruit, kinds that a set asks for, the
        size."""
        lot = self.lot
        parts = [part for each in self.tolerances for part in each.part.parts]
        still = dict.fromkeys(name for part in parts for name in part.still)
        found = list(lot.not_judged(place, [lot.spec.limit(name) for name in still], self.class_id))
        sets = dict.fromkeys(one for part in parts for one in self._with_inner(part.of))
        found += [NotJudged(one.id, one.name, one.has) for one in sets if lot.has(place, one.has) is None]
        missing = lot.sizes(place).missing
        if lot.has_size(place) is None and not any(missing in each.missing for each in found):
            found.append(NotJudged("", "size", (missing,)))
        return tuple(dict.fromkeys(found))

    def _breaks(self, place: Place, limit: Limit, one: FruitSet) -> Told:
        """Whether a fruit breaks a limit of a set; of a package limit: whether it is one of the fewest that do."""
        class_id = one.as_class or self.class_id
        if limit.level is not Level.PACKAGE:
            return opposite(told(self.lot.answer(place, limit, class_id)))
        limits = frozenset(each for each in one.breaks if self.lot.spec.limit(each).level is Level.PACKAGE)
        verdict = self.lot.package(place.package, class_id, limits)
        return True if place.fruit in verdict.breakers else None if verdict.not_judged else False

    def _fails(self, place: Place, limit: Limit) -> Told:
        """Whether a fruit fails a limit, and no set that may take care of that has it."""
        broken = opposite(told(self.lot.answer(place, limit, self.class_id)))
        if broken is False:
            return False
        size = limit.id in self.size_limits
        makes = False if size else self.lot.makes(place, self.class_id, self.size_limits)
        cared_for = (self.in_set(place, one) for one in self.taken_care_of if self._speaks_of(one, limit))
        return all_of([opposite(makes), broken, opposite(any_of(cared_for))])

    def _is_covered(self, limit: Limit) -> bool:
        """Whether every fruit that fails a limit is taken care of. The size on the label is asked apart."""
        size_of_label = limit.id in self.size_limits and limit.measure.take is Take.CODES
        return size_of_label or any(self._always(one, limit) for one in self.taken_care_of)

    def _always(self, one: FruitSet, limit: Limit) -> bool:
        """Whether a fruit that fails a limit for the class packed as is in a set for that alone."""
        quality = one.below == self.class_id and limit.level is Level.FRUIT and limit.id not in self.size_limits
        kinds = limit.measure.kinds
        # Too much of some kinds is there only where one of them is; another way to hold the limit may ask for others.
        by_kind = bool(kinds) and not limit.or_else and set(kinds) <= set(one.has)
        return quality or by_kind or (limit.id in one.breaks and one.as_class in (None, self.class_id))

    def _speaks_of(self, one: FruitSet, limit: Limit) -> bool:
        """Whether a set can take care of fruit that fail a limit."""
        quality = (one.below is not None or one.meets is not None) and limit.id not in self.size_limits
        return quality or limit.id in one.breaks or not set(one.has).isdisjoint(limit.measure.kinds)

    def _size_limits(self) -> frozenset[str]:
        apart = self.asks_size or self.lot.inspected.code is not None
        codes = {limit.id for limit in self.lot.limits if apart and limit.measure.take is Take.CODES}
        return frozenset(codes.union(*(one.breaks for one in self.taken_care_of if one.other_size)))

    def _with_inner(self, names: tuple[str, ...]) -> Iterator[FruitSet]:
        """The sets of these names and all that stand in them."""
        for name in names:
            yield self.named[name]
            yield from self._with_inner(self.named[name].sets)
