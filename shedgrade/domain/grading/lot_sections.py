"""The verdict on a lot laid out for reading: under headings, line by line, the figures inside a figure further in."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from shedgrade.domain.grading.lot_verdict import LotVerdict, PartVerdict, ToleranceVerdict
from shedgrade.domain.grading.lot_words import (
    BY_NUMBER,
    Names,
    Said,
    failing,
    headed,
    of_package,
    reasons,
    say_open,
    say_part,
    say_singly,
)
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed

_WITHIN = {Answer.HOLDS: "within", Answer.BROKEN: "not kept to", Answer.NOT_JUDGED: "not judged"}
_MEETS = {Answer.HOLDS: "yes", Answer.BROKEN: "no", Answer.NOT_JUDGED: "not known yet"}
_UNIFORM = {Answer.BROKEN: "not uniform", Answer.NOT_JUDGED: "not known yet"}


class Line(NamedTuple):
    """One line; ``depth`` is how far in it stands, 0 at the edge."""

    depth: int
    said: Said


class Section(NamedTuple):
    """Lines under a heading."""

    heading: str
    lines: tuple[Line, ...]


def sections(verdict: LotVerdict, spec: Spec, names: Names = BY_NUMBER) -> tuple[Section, ...]:
    """Why, the tolerances, the packages, fruit no tolerance covers, the classes, what was not judged; those that have
    something to say. What is a reason, or was not judged, is said there alone."""
    why, open_ = reasons(verdict, names), say_open(verdict, spec, names)
    known = frozenset([*(each.words for each in why), *open_])
    by_class = [f"{spec.grade_class(each).name}: {_MEETS[answer]}" for each, answer in verdict.by_class]
    tolerances = [line for each in verdict.tolerances for line in _tolerance(each, names)]
    every = (
        Section("Why", tuple(Line(0, each) for each in why)),
        Section("Tolerances", tuple(tolerances) or _flat([_none(verdict, spec)])),
        Section("Packages", tuple(_packages(verdict, spec, names, known))),
        Section("Fruit no tolerance covers", _flat(_outside(verdict))),
        Section("By class", _flat(by_class)),
        Section("Not judged", _flat(said.removeprefix("not judged: ") for said in open_)),
    )
    return tuple(each for each in every if each.lines)


def _flat(said: Iterable[str]) -> tuple[Line, ...]:
    return tuple(_line(0, words) for words in said)


def _line(depth: int, words: str) -> Line:
    return Line(depth, Said(words))


def _none(verdict: LotVerdict, spec: Spec) -> str:
    return f"the spec has none for {spec.grade_class(verdict.class_id).name}: every fruit must make the class"


def _outside(verdict: LotVerdict) -> list[str]:
    """Whether there is fruit that no tolerance covers; nothing where that is among the reasons."""
    if any(each.answer is Answer.BROKEN for each in verdict.outside):
        return []
    return ["not known yet" if verdict.outside else "none"]


def _tolerance(tolerance: ToleranceVerdict, names: Names) -> Iterator[Line]:
    broken = failing(tolerance.part)
    because = f", because of {listed(broken)}" if broken else ""
    yield _line(0, f"{tolerance.tolerance.name}: {_WITHIN[tolerance.answer]}{because}")
    yield from _figures(tolerance.part, names, 1, room=not broken)


def _figures(part: PartVerdict, names: Names, depth: int, *, room: bool) -> Iterator[Line]:
    """One figure, its single packages and the figures inside; what is exceeded is among the reasons. How much more
    would do is said only where the whole tolerance is kept to."""
    singly = [_line(depth + 1, said) for said in say_singly(part, names)]
    if part.whole is None and singly:
        yield _line(depth, f"{' or '.join(part.names)}, in each package")
    elif part.whole is not None and part.whole.answer is not Answer.BROKEN:
        yield _line(depth, say_part(part, names, room=room))
    yield from singly
    for each in part.within:
        yield from _figures(each, names, depth + 1, room=room)


def _packages(verdict: LotVerdict, spec: Spec, names: Names, known: frozenset[str]) -> Iterator[Line]:
    """Whether each package is uniform, and why not where that is not known yet; nothing when no limit asks."""
    if not any(limit.level is Level.PACKAGE for limit in spec.limits):
        return
    for number, each in enumerate(verdict.packages):
        yield _line(0, f"{names.package(number)}: {_UNIFORM.get(each.uniform, 'uniform')}")
        said = of_package(each, spec, number)
        yield from (Line(1, one) for one in said if headed(one, names).words not in known)
