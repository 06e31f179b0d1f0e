"""What a spec may say and hardly means: nothing wrong with it, but somebody should look again."""

from collections.abc import Iterator
from dataclasses import dataclass

from shedgrade.domain.spec.limit import Level, Limit
from shedgrade.domain.spec.model import GradeClass, Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import Basis, Tolerance


@dataclass(frozen=True, slots=True)
class Doubt:
    """One sentence, and what it is about: a limit by its id, or ("") the tolerances."""

    says: str
    limit_id: str = ""


def doubts(spec: Spec) -> tuple[Doubt, ...]:
    """Every doubt, limits first."""
    return (*_unlimited(spec), *_never_judged(spec))


def _unlimited(spec: Spec) -> Iterator[Doubt]:
    """A limit that holds a class to something and says nothing of a better one: no rule there, so all fruit pass."""
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
                yield Doubt(_unlimited_says(spec, limit, better, sizes), limit.id)


def _sizes(spec: Spec) -> list[str | None]:
    return list(dict.fromkeys(band.name for band in spec.scale.bands)) or [None]


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
        asked = [tolerance for tolerance in spec.tolerances if not tolerance.classes or each.id in tolerance.classes]
        if asked and not any(all(basis in tolerance.basis for tolerance in asked) for basis in Basis):
            counted = {
                basis: [_quoted(tolerance) for tolerance in asked if tolerance.basis == (basis,)] for basis in Basis
            }
            only = "; ".join(f"{listed(names)} only by {basis}" for basis, names in counted.items() if names)
            yield Doubt(
                f"No lot of {each.name} can be judged: an inspection counts by number or by weight, and its tolerances "
                f"allow no common one. Counted are {only}."
            )


def _quoted(tolerance: Tolerance) -> str:
    return f"“{tolerance.name}”"
