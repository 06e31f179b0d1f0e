"""What a spec may say and hardly means: nothing wrong with it, but somebody should look again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from shedgrade.domain.source import Mark
from shedgrade.domain.spec.limit import Level, Limit
from shedgrade.domain.spec.model import GradeClass, Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import Basis, Tolerance


class About(StrEnum):
    """The part of a spec that a doubt is about."""

    SIZES = "sizes"
    LIMIT = "limit"
    TOLERANCES = "tolerances"


@dataclass(frozen=True, slots=True)
class Doubt:
    """One sentence, and the part it is about: a limit with its id."""

    says: str
    about: About
    limit_id: str = ""


def doubts(spec: Spec) -> tuple[Doubt, ...]:
    """Every doubt: sizes, limits, tolerances."""
    return (*_overlapping(spec), *_unlimited(spec), *_without_row(spec), *_never_judged(spec))


def _overlapping(spec: Spec) -> Iterator[Doubt]:
    """Two sizes that one figure has. Published texts do that on purpose, so that a figure of one's own is in it."""
    for one, other in combinations(spec.scale.bands, 2):
        if one.name == other.name or Mark.OUR_OWN not in {one.source.mark, other.source.mark}:
            continue
        both = spec.scale.overlap(one, other)
        if both is not None:
            yield Doubt(
                f"Sizes {one.name} and {other.name} overlap ({both.says()}): such fruit are of both sizes, and are "
                "judged as whichever gives the better class.",
                About.SIZES,
            )


def _unlimited(spec: Spec) -> Iterator[Doubt]:
    for limit, better, sizes in _better_unlimited(spec):
        yield Doubt(_unlimited_says(spec, limit, better, sizes), About.LIMIT, limit.id)


def _better_unlimited(spec: Spec) -> Iterator[tuple[Limit, GradeClass, list[str | None]]]:
    """A limit that holds a class to something and says nothing of a better one, with the sizes of which it says
    nothing: no rule there, so all fruit pass."""
    for limit in spec.limits:
        if limit.level is not Level.FRUIT:
            continue
        for number, better in enumerate(spec.classes):
            sizes = [
                size
                for size in _sizes(spec)
                if not _speaks(limit, better, size)
                and any(_speaks(limit, worse, size) for worse in spec.classes[number + 1 :])
            ]
            if sizes:
                yield limit, better, sizes


def _without_row(spec: Spec) -> Iterator[Doubt]:
    """A limit of fruit with rows by size that has forgotten one: no rule there. What is told of a better class already
    is left out."""
    told = {(limit.id, better.id, size) for limit, better, sizes in _better_unlimited(spec) for size in sizes}
    for limit in spec.limits:
        if limit.level is not Level.FRUIT:
            continue
        forgotten: dict[tuple[str, ...], list[str]] = {}
        for each in spec.classes:
            silent = [size for size in _sizes(spec) if not _speaks(limit, each, size)]
            sizes = tuple(size for size in silent if size and (limit.id, each.id, size) not in told)
            if sizes and len(silent) < len(_sizes(spec)):
                forgotten.setdefault(sizes, []).append(each.name)
        for sizes, classes in forgotten.items():
            yield Doubt(_without_row_says(limit, sizes, classes), About.LIMIT, limit.id)


def _without_row_says(limit: Limit, sizes: Sequence[str], classes: Sequence[str]) -> str:
    where = f"for size {listed(sizes, 'or')} in {listed(classes, 'or')}"
    return f"{limit.name[0].upper()}{limit.name[1:]} has no row {where}: such fruit are never held against it."


def _sizes(spec: Spec) -> list[str | None]:
    return list(spec.scale.names) or [None]


def _speaks(limit: Limit, grade_class: GradeClass, size: str | None) -> bool:
    """Whether it holds fruit of the class and size to anything."""
    return any(row.fits(grade_class.id, size) for way in limit.ways for row in way.rows)


def _unlimited_says(spec: Spec, limit: Limit, better: GradeClass, sizes: list[str | None]) -> str:
    some = [size for size in sizes if size is not None]
    every = len(sizes) == len(_sizes(spec))
    of_size = "" if every else f" of size {listed(some, 'or')}"
    any_fruit = f"fruit with any {limit.name}" if limit.measure.kinds else f"fruit of any {limit.name}"
    return f"{better.name}{of_size} has no limit on {limit.name}: {any_fruit} can be {better.name}."


def _never_judged(spec: Spec) -> Iterator[Doubt]:
    """An inspection declares one basis, and every tolerance of the class must allow it."""
    for each in spec.classes:
        if not spec.bases_of(each.id):
            asked = spec.tolerances_of(each.id)
            counted = {
                basis: [_quoted(tolerance) for tolerance in asked if tolerance.basis == (basis,)] for basis in Basis
            }
            only = "; ".join(f"{listed(names)} only by {basis}" for basis, names in counted.items() if names)
            yield Doubt(
                f"No lot of {each.name} can be judged: an inspection counts by number or by weight, and its tolerances "
                f"allow no common one. Counted are {only}.",
                About.TOLERANCES,
            )


def _quoted(tolerance: Tolerance) -> str:
    return f"“{tolerance.name}”"
