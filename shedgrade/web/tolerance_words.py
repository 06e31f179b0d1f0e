"""Tolerances and the sets of fruit they count, as sentences: "at most 10 % by number of a lot, of which ..."."""

from collections.abc import Iterator
from dataclasses import dataclass

from shedgrade.domain.source import Source
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import FruitSet, Part, Scope, Tolerance
from shedgrade.domain.units import digits
from shedgrade.web.limit_tables import own_source

_OF = {Scope.LOT: "a lot", Scope.PACKAGE: "a package", Scope.SAMPLE: "the sample"}


@dataclass(frozen=True, slots=True)
class PartLine:
    """One figure of a tolerance as a sentence, with its own source and note, and what stands inside it."""

    says: str
    source: str
    note: str
    within: list["PartLine"]


@dataclass(frozen=True, slots=True)
class ToleranceLine:
    """A tolerance: of which classes, and its sentences."""

    name: str
    classes: str
    part: PartLine
    source: str


@dataclass(frozen=True, slots=True)
class SetLine:
    """A set of fruit: what is in it."""

    name: str
    says: str
    source: str


def tolerance_lines(spec: Spec) -> list[ToleranceLine]:
    """Every tolerance of the spec."""
    return [
        ToleranceLine(
            each.name,
            listed([spec.grade_class(class_id).name for class_id in each.classes]) or "every class",
            _top(spec, each),
            each.source.says(),
        )
        for each in spec.tolerances
    ]


def set_lines(spec: Spec) -> list[SetLine]:
    """Every set of the spec."""
    return [
        SetLine(each.name, f"fruit that {'; or '.join(_conditions(spec, each))}", each.source.says())
        for each in spec.sets
    ]


def _top(spec: Spec, tolerance: Tolerance) -> PartLine:
    basis = f" by {listed(tolerance.basis, 'or')}"
    return _part(spec, tolerance.part, f"of {_OF[tolerance.scope]}{basis}", tolerance.source)


def _part(spec: Spec, part: Part, base: str, above: Source) -> PartLine:
    names = {each.id: each.name for each in spec.sets}
    how_much = "none" if part.to.is_nil else part.to.says()
    says = f"{how_much} {base}: {listed([names[each] for each in part.of], 'or')}{_besides(spec, part)}"
    note = part.source.note if part.source.note != above.note else ""
    inner = [_part(spec, each, "of all fruit looked at, within these", part.source) for each in part.within]
    return PartLine(says, own_source(part.source, above), note, inner)


def _besides(spec: Spec, part: Part) -> str:
    single = part.package_times
    package = "" if single is None else f"; a single package up to {digits(single, 2, trim=True)} times that"
    still = listed([spec.limit(each).name for each in part.still])
    return f"{package}; they must still hold to {still}" if still else package


def _conditions(spec: Spec, fruit_set: FruitSet) -> Iterator[str]:
    if fruit_set.below is not None:
        yield f"do not make {spec.grade_class(fruit_set.below).name}"
    if fruit_set.meets is not None:
        yield f"make {spec.grade_class(fruit_set.meets).name} or better"
    if fruit_set.breaks:
        as_class = "" if fruit_set.as_class is None else f" as written for {spec.grade_class(fruit_set.as_class).name}"
        yield f"break the limit of {listed([spec.limit(each).name for each in fruit_set.breaks], 'or')}{as_class}"
    if fruit_set.has:
        yield f"have {listed([spec.crop.kind(each).name for each in fruit_set.has], 'or')}"
    if fruit_set.sets:
        names = {each.id: each.name for each in spec.sets}
        yield f"are in {listed([names[each] for each in fruit_set.sets], 'or')}"
    if fruit_set.other_size:
        yield "do not have the size on the label"
