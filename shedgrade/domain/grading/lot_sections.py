"""The verdict on a lot laid out for reading: under headings, line by line, the figures inside a figure further in."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from shedgrade.domain.grading.lot_verdict import LotVerdict, PartVerdict, ToleranceVerdict
from shedgrade.domain.grading.lot_words import (
    BY_NUMBER,
    Names,
    say_open,
    say_outside,
    say_package,
    say_part,
    say_reasons,
    say_singly,
    say_still,
)
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.model import Spec

_WITHIN = {Answer.HOLDS: "within", Answer.BROKEN: "exceeded", Answer.NOT_JUDGED: "not judged"}
_MEETS = {Answer.HOLDS: "yes", Answer.BROKEN: "no", Answer.NOT_JUDGED: "not known yet"}
_UNIFORM = {Answer.BROKEN: "not uniform", Answer.NOT_JUDGED: "not known yet"}


class Line(NamedTuple):
    """One line; ``depth`` is how far in it stands, 0 at the edge."""

    depth: int
    words: str


class Section(NamedTuple):
    """Lines under a heading."""

    heading: str
    lines: tuple[Line, ...]


def sections(verdict: LotVerdict, spec: Spec, names: Names = BY_NUMBER) -> tuple[Section, ...]:
    """Why, the tolerances, the packages, fruit no tolerance covers, the classes, what was not judged; those that have
    something to say."""
    by_class = [f"{spec.grade_class(each).name}: {_MEETS[answer]}" for each, answer in verdict.by_class]
    unknown = [said.removeprefix("not judged: ") for said in say_open(verdict, spec, names)]
    tolerances = [line for each in verdict.tolerances for line in _tolerance(each, names)]
    every = (
        Section("Why", _flat(say_reasons(verdict, names))),
        Section("Tolerances", tuple(tolerances) or (Line(0, _none(verdict, spec)),)),
        Section("Packages", tuple(_packages(verdict, spec, names))),
        Section("Fruit no tolerance covers", _flat(say_outside(verdict, names) or [_no_outside(verdict)])),
        Section("By class", _flat(by_class)),
        Section("Not judged", _flat(unknown)),
    )
    return tuple(each for each in every if each.lines)


def _flat(said: Iterable[str]) -> tuple[Line, ...]:
    return tuple(Line(0, words) for words in said)


def _none(verdict: LotVerdict, spec: Spec) -> str:
    return f"the spec has none for {spec.grade_class(verdict.class_id).name}: every fruit must make the class"


def _no_outside(verdict: LotVerdict) -> str:
    return "not known yet" if verdict.outside else "none"


def _tolerance(tolerance: ToleranceVerdict, names: Names) -> Iterator[Line]:
    yield Line(0, f"{tolerance.tolerance.name}: {_WITHIN[tolerance.answer]}")
    yield from _figures(tolerance.part, names, 1)


def _figures(part: PartVerdict, names: Names, depth: int) -> Iterator[Line]:
    """One figure, its single packages, the tolerated fruit that must hold even so, and the figures inside."""
    yield Line(depth, f"{' or '.join(part.names)}, in each package" if part.whole is None else say_part(part, names))
    yield from (Line(depth + 1, said) for said in (*say_singly(part, names), *say_still([part], names)))
    for each in part.within:
        yield from _figures(each, names, depth + 1)


def _packages(verdict: LotVerdict, spec: Spec, names: Names) -> Iterator[Line]:
    """Whether each package is uniform; nothing when no limit asks."""
    if not any(limit.level is Level.PACKAGE for limit in spec.limits):
        return
    for number, each in enumerate(verdict.packages):
        yield Line(0, f"{names.package(number)}: {_UNIFORM.get(each.uniform, 'uniform')}")
        yield from (Line(1, said) for said in say_package(each, spec, number, names))
