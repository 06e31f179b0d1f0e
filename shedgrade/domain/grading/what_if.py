"""What another spec, or another version of it, would make of the same fruit."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.many.from_fruit import columns_of
from shedgrade.domain.grading.many.graded import Graded, Placing
from shedgrade.domain.grading.many.grading import grade_many
from shedgrade.domain.grading.one import borne_out, grade
from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType

# What a fruit is worth in the currency's smallest unit; None where it has no price.
Value = Callable[[Fruit, Placing], Fraction | None]


@dataclass(frozen=True, slots=True)
class StoredFruit:
    """A fruit as it was measured, the load it came in with, and the size code on its pack if one was named."""

    fruit: Fruit
    load: Load = NOTHING_SAID
    code: str | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """A fruit that changes its class: its place among those asked about, both verdicts, and why in one sentence.

    ``why`` are the limits that stop it now, or, where it gains, those that stopped it before. Empty only when one
    spec has a class that the other has not.
    """

    place: int
    before: Verdict
    after: Verdict
    why: str


@dataclass(frozen=True, slots=True)
class Worth:
    """The value of the fruit under both specs, in the currency's smallest unit; ``priced`` of the ``fruit`` have a
    price under both, and only those stand in the sums."""

    before: Fraction
    after: Fraction
    priced: int
    fruit: int

    @property
    def gained(self) -> Fraction:
        """How much more the fruit are worth afterwards; below nothing when they are worth less."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class WhatMoves:
    """The same fruit under two specs.

    ``by_class`` counts fruit by their class before and after (None makes no class). ``unsure_before`` and
    ``unsure_after`` are fruit of which a limit could not be judged. ``worth`` is None when nobody asked for values.
    """

    before: Spec
    after: Spec
    fruit: int
    by_class: Mapping[tuple[str | None, str | None], int]
    moved: tuple[Moved, ...]
    unsure_before: int
    unsure_after: int
    worth: Worth | None = None

    @property
    def matrix(self) -> tuple[tuple[int, ...], ...]:
        """Fruit by class: a row for each class before, a column for each after, best first, no class last."""
        return tuple(
            tuple(self.by_class.get((row, column), 0) for column in _class_ids(self.after))
            for row in _class_ids(self.before)
        )

    @property
    def better(self) -> int:
        """How many fruit make a better class than before; one that only the other spec has is neither."""
        return sum(after < before for before, after in map(self._ranks, self.moved))

    @property
    def worse(self) -> int:
        """How many fruit make a worse class than before, or none."""
        return sum(after > before for before, after in map(self._ranks, self.moved))

    def share(self, count: int) -> Fraction:
        """So many of all the fruit, exactly; 0 when there are none."""
        return Fraction(count, self.fruit) if self.fruit else Fraction(0)

    def share_before(self, class_id: str | None) -> Fraction:
        """The share of all fruit that have a class before."""
        return self.share(sum(count for (row, _), count in self.by_class.items() if row == class_id))

    def share_after(self, class_id: str | None) -> Fraction:
        """The share of all fruit that have a class afterwards."""
        return self.share(sum(count for (_, column), count in self.by_class.items() if column == class_id))

    def _ranks(self, moved: Moved) -> tuple[int, int]:
        """How good its class was and is, by the order of the classes afterwards; no class comes last. A class that is
        no longer there counts as good as the one that took its place, and better than none."""
        order = {class_id: place for place, class_id in enumerate(_class_ids(self.after))}
        after = order[moved.after.class_id]
        as_good = min(after, len(order) - 2)
        return order.get(moved.before.class_id, as_good), after


def what_moves(
    before: Spec,
    after: Spec,
    fruit: Iterable[StoredFruit],
    *,
    trays: tuple[TrayType | None, TrayType | None] = (None, None),
    value: Value | None = None,
) -> WhatMoves:
    """Grade the same fruit under both specs of one crop, each counted for its tray, and tell them apart.

    A size code from the pack counts where a spec gives it to the fruit. ``value`` prices a fruit by its verdict.
    Raises GradingError for a kind or measure the crop does not know, ValueError for specs of two crops.
    """
    if before.crop.id != after.crop.id:
        raise ValueError(f"one spec is for {before.crop.name} and the other for {after.crop.name}")
    loads = [_Load(places, some, load, (before, after), trays) for places, some, load in _by_load(fruit)]
    moved = sorted((each for load in loads for each in load.moved()), key=lambda each: each.place)
    return WhatMoves(
        before=before,
        after=after,
        fruit=sum(len(load.places) for load in loads),
        by_class=sum((load.by_class for load in loads), Counter[tuple[str | None, str | None]]()),
        moved=tuple(moved),
        unsure_before=sum(load.before.number_unsure for load in loads),
        unsure_after=sum(load.after.number_unsure for load in loads),
        worth=None if value is None else _worth([each for load in loads for each in load.values(value)]),
    )


def _by_load(fruit: Iterable[StoredFruit]) -> Iterator[tuple[list[int], list[StoredFruit], Load]]:
    """The fruit of each load, with their places among all."""
    found: dict[Load, list[tuple[int, StoredFruit]]] = {}
    for place, each in enumerate(fruit):
        found.setdefault(each.load, []).append((place, each))
    for load, of in found.items():
        yield [place for place, _ in of], [each for _, each in of], load


class _Load:
    """The fruit of one load under both specs."""

    def __init__(
        self,
        places: list[int],
        fruit: list[StoredFruit],
        load: Load,
        specs: tuple[Spec, Spec],
        trays: tuple[TrayType | None, TrayType | None],
    ) -> None:
        self.places = places
        self.fruit = fruit
        columns = columns_of([each.fruit for each in fruit], [each.code for each in fruit])
        self.before, self.after = (
            grade_many(spec, columns, tray, load) for spec, tray in zip(specs, trays, strict=True)
        )
        self.classes = list(zip(self.before.class_ids(), self.after.class_ids(), strict=True))
        self.by_class = Counter(self.classes)

    def moved(self) -> Iterator[Moved]:
        """Those that change their class."""
        for number, (before, after) in enumerate(self.classes):
            if before != after:
                one, other = (_verdict(of, self.fruit[number]) for of in (self.before, self.after))
                yield Moved(self.places[number], one, other, _why(self.before.spec, self.after.spec, one, other))

    def values(self, value: Value) -> Iterator[tuple[Fraction | None, Fraction | None]]:
        """What each is worth under both."""
        for number, stored in enumerate(self.fruit):
            yield value(stored.fruit, self.before.placing(number)), value(stored.fruit, self.after.placing(number))


def _verdict(graded: Graded, stored: StoredFruit) -> Verdict:
    spec, load = graded.spec, stored.load
    return grade(spec, stored.fruit, graded.tray, borne_out(spec, stored.fruit, stored.code, load), load)


def _why(before: Spec, after: Spec, one: Verdict, other: Verdict) -> str:
    """What stops it now from its class of before; else what stopped it before from its class of now."""
    lost = _stopped(after, other, one.class_id)
    if lost:
        return lost
    gained = _stopped(before, one, other.class_id)
    return f"before: {gained}" if gained else ""


def _stopped(spec: Spec, verdict: Verdict, class_id: str | None) -> str:
    missed = groupby(verdict.reasons, key=lambda reason: reason.class_id)
    said = {of: " and ".join(reason.clause(spec) for reason in reasons) for of, reasons in missed}
    return "" if class_id is None else said.get(class_id, "")


def _worth(each: list[tuple[Fraction | None, Fraction | None]]) -> Worth:
    priced = [(one, other) for one, other in each if one is not None and other is not None]
    return Worth(
        before=sum((one for one, _ in priced), Fraction(0)),
        after=sum((other for _, other in priced), Fraction(0)),
        priced=len(priced),
        fruit=len(each),
    )


def _class_ids(spec: Spec) -> list[str | None]:
    return [*(each.id for each in spec.classes), None]
